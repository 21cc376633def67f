package synth

import "math"

// The curves of the forms: ideal voltages in time, without noise and steps. Forms with edges go from
// one level to the other in the time Edge along half a cosine, whose middle is where the edge is said
// to be (the 50 % reference level of IEEE Std 181).

// hasTau says that the form has a time constant.
func (s Signal) hasTau() bool {
	switch s.Form {
	case Decay, Driven, Rounded, Bent:
		return true
	}
	return false
}

// repeats says that the form has a period.
func (s Signal) repeats() bool {
	switch s.Form {
	case Driven, Sine, Square, Triangle, Ramp, Pulses, HalfWave, Rounded:
		return true
	}
	return false
}

// completed fills in what a specimen of the form needs beside its levels and its frequency.
func (s Signal) completed(timePerBox float64) Signal {
	switch s.Form {
	case Ramp:
		s.Duty = 0.9
	case Pulse:
		s.Knee, s.Width, s.Edge = 4*timePerBox, 0.6*timePerBox, 0.05*timePerBox
	case Pulses:
		s.Duty = 0.12
	case Burst:
		s.Knee, s.Count, s.Frequency = 2*timePerBox, 6, 1.5/timePerBox
	case Bits:
		s.Frequency, s.Pattern = 1.6/timePerBox, 0b1011_0010_0110_1001
	case Step:
		s.Knee, s.Edge = 4*timePerBox, 0.1*timePerBox
	case Rounded:
		s.Tau = 0.04 / s.Frequency
	case Noise:
		s.Noise = 0.3
	}
	return s
}

// swing gives the highest and lowest voltage of Driven once every period is like the one before:
// with on and off times a and b, high = V·(1−e^(−a/τ))/(1−e^(−(a+b)/τ)), low = high·e^(−b/τ).
func (s Signal) swing() (high, low float64) {
	period := 1 / s.Frequency
	on := s.duty() * period
	high = s.VStart * math.Expm1(-on/s.Tau) / math.Expm1(-period/s.Tau)
	return high, high * math.Exp(-(period-on)/s.Tau)
}

// Volts is the ideal voltage at t.
func (s Signal) Volts(t float64) float64 {
	switch s.Form {
	case Decay:
		if t <= s.Knee {
			return s.VStart
		}
		return s.VEnd + (s.VStart-s.VEnd)*math.Exp(-(t-s.Knee)/s.Tau)
	case Driven:
		high, low := s.swing()
		since, period := s.phase(t)
		if off := (1 - s.duty()) * period; since >= off {
			return s.VStart + (low-s.VStart)*math.Exp(-(since-off)/s.Tau)
		}
		return high * math.Exp(-since/s.Tau)
	case Sine:
		return s.VEnd + (s.VStart-s.VEnd)*math.Sin(2*math.Pi*s.Frequency*(t-s.Knee))
	case Square:
		if since, period := s.phase(t); since >= s.duty()*period {
			return s.VEnd
		}
		return s.VStart
	case Level, Noise:
		return s.VStart
	case Bent:
		return s.bent(t)
	}
	return s.VEnd + (s.VStart-s.VEnd)*s.share(t)
}

// share is where between VEnd (0) and VStart (1) a form lies that goes back and forth between the two.
func (s Signal) share(t float64) float64 {
	since, period := 0.0, 0.0
	if s.Frequency > 0 {
		since, period = s.phase(t)
	}
	on := s.duty() * period
	switch s.Form {
	case Triangle, Ramp:
		if since < on {
			return since / on
		}
		return (period - since) / (period - on)
	case Pulse:
		return s.edge(t-s.Knee) - s.edge(t-s.Knee-s.Width)
	case Pulses:
		return s.edge(since) - s.edge(since-on) + s.edge(since-period)
	case Burst:
		if t < s.Knee-period/2 || t >= s.Knee+(float64(s.Count)-0.5)*period {
			return 0
		}
		u := t - s.Knee - math.Round((t-s.Knee-on/2)/period)*period // from the nearest pulse's start
		return s.edge(u) - s.edge(u-on)
	case Bits:
		n := math.Round((t - s.Knee) * s.Frequency) // the nearest border between two bits
		u := s.edge(t - s.Knee - n/s.Frequency)
		return u*s.bit(n) + (1-u)*s.bit(n-1)
	case Step:
		return s.edge(t - s.Knee)
	case HalfWave:
		return max(0, math.Sin(2*math.Pi*s.Frequency*(t-s.Knee)))
	case Rounded:
		high := math.Expm1(-on/s.Tau) / math.Expm1(-period/s.Tau)
		low := high * math.Exp(-(period-on)/s.Tau)
		if since < on {
			return 1 + (low-1)*math.Exp(-since/s.Tau)
		}
		return high * math.Exp(-(since-on)/s.Tau)
	}
	return 1
}

// edge rises from 0 to 1 within Edge, its middle at t = 0.
func (s Signal) edge(t float64) float64 {
	switch {
	case t <= -s.Edge/2:
		return 0
	case t >= s.Edge/2:
		return 1
	}
	return (1 + math.Sin(math.Pi*t/s.Edge)) / 2
}

// bit is the n-th of Pattern, 0 or 1.
func (s Signal) bit(n float64) float64 {
	k := uint64(int64(n)) % 64
	return float64(s.Pattern >> k & 1)
}

// bent is an exponential from VStart at Knee on. Within Edge before it the slope grows from nothing to
// the exponential's own, −(VStart − VEnd)/τ, as 3u² − 2u³: value and slope are steady. The level before
// lies half a slope's way beyond VStart.
func (s Signal) bent(t float64) float64 {
	if t >= s.Knee {
		return s.VEnd + (s.VStart-s.VEnd)*math.Exp(-(t-s.Knee)/s.Tau)
	}
	u := max(0, (t-s.Knee)/s.Edge+1)
	way := (s.VStart - s.VEnd) / s.Tau * s.Edge
	return s.VStart + way*(0.5-u*u*u+u*u*u*u/2)
}
