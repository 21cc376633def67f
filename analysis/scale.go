package analysis

// A forgotten setting: which step of an instrument's switch makes a size on the screen, counted in boxes, equal to
// a quantity that is known from elsewhere, such as the period of a generator or the voltage of a battery. Switches go
// in steps of 1-2-5 or of 1-2.5-5 a decade (common practice, no source). A step c is off by
//
//	zeta = (c·boxes − known) / √(c²·u²(boxes) + u²(known))
//
// and it is told only if it fits and all others are excluded.

import (
	"fmt"
	"math"

	"quadrille/calibrate/unit"
)

// A Scale is the setting that fits, in the unit of what is known, a box.
type Scale struct {
	Setting, Zeta  float64 // Zeta is how many standard uncertainties it is off, with its sign
	Next, NextZeta float64 // the setting that comes closest of the others
	Size, Known    unit.Value
	TakenLimit     float64 // relative, of what is known: taken where nothing was said of how well it is; else 0
	// OffRow is set when no step fits: Setting is then what the known size itself makes of a box, with its uncertainty
	// OffU, and Next the nearest step.
	OffRow bool
	OffU   float64
}

const (
	// defaultKnown is the relative limit of what is known if nothing is said of it: a dial or a battery label is
	// seldom further off (common practice, no source), and no two steps are nearer than 25 %
	// (TestAFrequencyIsHeldAgainstTheDial).
	defaultKnown = 0.05
	// fitsWithin and excludedFrom are numbers of standard uncertainties: a right setting is within 3 in 997 of 1000
	// cases, and beyond 5 nothing is (normal distribution). TestForgottenSettingIsFoundOrRefused would notice.
	fitsWithin, excludedFrom = 3.0, 5.0
)

// FindScale gives the setting that makes size, a number of boxes with its U (unit "1"), equal to known (with its U; 0
// means not said). Both are above 0. Its error is a *NotFoundError if two settings fit; if none does it is OffRow,
// which is to be doubted.
func FindScale(size, known unit.Value) (*Scale, error) {
	s := &Scale{Size: size, Known: known}
	if !(size.X > 0 && size.U > 0 && known.X > 0 && known.U >= 0) || math.IsInf(size.X+size.U+known.X+known.U, 0) {
		return nil, &NotFoundError{"the size on the screen is not known well enough to find a setting from it",
			"Show more of the signal, or note the setting; the page of --out shows the rims of the display enlarged."}
	}
	if known.U == 0 {
		s.Known, s.TakenLimit = unit.Limits(known.X, defaultKnown*known.X, known.Unit), defaultKnown
	}
	s.Zeta, s.NextZeta = math.Inf(1), math.Inf(1)
	decade := int(math.Floor(math.Log10(known.X / size.X)))
	for power := decade - 1; power <= decade+1; power++ {
		for _, step := range []float64{1, 2, 2.5, 5} {
			c := stepOf(step, power)
			zeta := (c*size.X - s.Known.X) / math.Hypot(c*size.U, s.Known.U)
			switch {
			case math.Abs(zeta) < math.Abs(s.Zeta):
				s.Next, s.NextZeta = s.Setting, s.Zeta
				s.Setting, s.Zeta = c, zeta
			case math.Abs(zeta) < math.Abs(s.NextZeta):
				s.Next, s.NextZeta = c, zeta
			}
		}
	}
	if math.Abs(s.Zeta) > fitsWithin {
		own := s.Known.X / size.X
		s.OffRow, s.Next, s.NextZeta = true, s.Setting, s.Zeta
		s.OffU = own * math.Hypot(size.U/size.X, s.Known.U/s.Known.X)
		digits := math.Pow10(2 - int(math.Floor(math.Log10(own)))) // three are enough beside OffU
		s.Setting, s.Zeta = math.Round(own*digits)/digits, 0
		return s, nil
	}
	show := func(x float64) string { return unit.Value{X: x, Unit: known.Unit}.String() + " a box" }
	if math.Abs(s.NextZeta) < excludedFrom {
		return nil, &NotFoundError{fmt.Sprintf("both %s (off by %.1f standard uncertainties) and %s (%.1f) fit: %s boxes against %s",
			show(s.Setting), math.Abs(s.Zeta), show(s.Next), math.Abs(s.NextZeta), plainSize(size), s.Known),
			"Say more closely what is known, such as 50Hz±1% or 9V±1%, and for a level where the ground line is; or give the setting."}
	}
	return s, nil
}

// stepOf is step·10^power, rounded once: 2·10⁻³ is the float64 of 0.002.
func stepOf(step float64, power int) float64 {
	if power < 0 {
		return step / math.Pow10(-power)
	}
	return step * math.Pow10(power)
}

func plainSize(v unit.Value) string { return unit.Value{X: v.X, U: v.U, Unit: "1"}.String() }

// PeriodOf gives the period that f knows best, in s; ok is false if it has none.
func PeriodOf(f *Findings) (period unit.Value, ok bool) {
	for _, r := range f.Results {
		if r.Quantity == "period" && r.Value.U > 0 && (!ok || r.Value.U < period.U) {
			period, ok = r.Value, true
		}
	}
	return period, ok
}

// LevelsOf gives the highest and the lowest level of f from ground, in V: of a steady level, of two states, or where
// decays begin and what they settle at. low is high if there is but one; ok is false if there is none, as with a sine.
func LevelsOf(f *Findings) (high, low unit.Value, ok bool) {
	for _, r := range f.Results {
		if r.Role != AtLevel && r.Role != FirstSeen || !(r.Value.U > 0) {
			continue
		}
		if !ok || r.Value.X > high.X {
			high = r.Value
		}
		if !ok || r.Value.X < low.X {
			low = r.Value
		}
		ok = true
	}
	return high, low, ok
}

// DriveOf gives the voltage from the lowest level of f to the highest, of a sine from peak to peak. The ground line
// moves both ends alike and is in its U once too often, unless f has the difference itself. ok is false if there is no
// such voltage.
func DriveOf(f *Findings) (drive unit.Value, ok bool) {
	if i := f.peakToPeak(); i >= 0 {
		return f.Results[i].Value, true
	}
	high, low, ok := LevelsOf(f)
	return unit.Value{X: high.X - low.X, U: math.Hypot(high.U, low.U), Unit: "V"}, ok && high.X > low.X
}

// peakToPeak is the place of the full swing of a curve among the results, which is what a generator is set to; -1
// without one.
func (f *Findings) peakToPeak() int {
	for i, r := range f.Results {
		if r.Role == FullSwing && r.Value.U > 0 {
			return i
		}
	}
	return -1
}
