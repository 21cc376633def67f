// What the figure of each kind of signal shows: which part of the trace, which levels, and which results dimensioned.
// All values are results of the document; where on the curve an arrow stands is read off the fitted lines.

package report

import (
	"math"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
)

// sketches are the kinds that have a figure of their own. A decay and a sine have theirs in the general ones: the
// curve, what it leaves, and the straight line of logarithms.
var sketches = map[string]func(m *measuredTrace) *sketch{
	"triangle": sides, "ramp": sides, "states": states, "pulses": pulses, "noise": scatter, "level": scatter,
}

// sketchOf gives what the figure of a trace shows; nil without one.
func sketchOf(d *wire.Document, tr *wire.Trace) *sketch {
	m := &measuredTrace{Trace: tr}
	for _, r := range d.Results {
		if r.Trace == tr.Name && r.Value.Known() {
			m.results = append(m.results, r)
		}
	}
	for i := range d.Fits {
		if d.Fits[i].Trace == tr.Name {
			m.fit = &d.Fits[i]
		}
	}
	var ok bool
	m.from, m.to, ok = span(tr.T)
	of := sketches[string(tr.Signal)]
	if of == nil || !ok || m.from == m.to {
		return nil
	}
	if _, _, ok := span(tr.V); !ok {
		return nil
	}
	k := of(m)
	if k != nil && !(k.to > k.from) {
		k.from, k.to = m.from, m.to
	}
	return k
}

// A measuredTrace is a trace with its results.
type measuredTrace struct {
	*wire.Trace
	results  []wire.Result
	fit      *wire.Fit
	from, to float64 // s, all of it
}

// get gives the first result of a quantity, of one of the methods if any are named.
func (m *measuredTrace) get(quantity string, methods ...string) (x float64, value string, ok bool) {
	for _, r := range m.results {
		if r.Quantity == quantity && (len(methods) == 0 || slices.Contains(methods, string(r.Method))) {
			return float64(r.Value), measured(r.Value, r.U, r.Unit), true
		}
	}
	return math.NaN(), "", false
}

// isBase says that a level is the base of pulses.
func (m *measuredTrace) isBase(quantity string) bool {
	return slices.ContainsFunc(m.results, func(r wire.Result) bool { return r.Quantity == quantity && strings.HasPrefix(string(r.Label), "base") })
}

// part gives a part of the record that holds a length of time from start, with a share of it on both sides.
func (m *measuredTrace) part(start, length, share float64) (from, to float64) {
	return max(m.from, start-share*length), min(m.to, start+(1+share)*length)
}

// crossings gives the times at which the fitted lines pass a voltage, and whether they rise there.
func (m *measuredTrace) crossings(v float64) (t []float64, rises []bool) {
	if m.fit == nil {
		return nil, nil
	}
	for i := 1; i < min(len(m.fit.T), len(m.fit.V)); i++ {
		a, b := m.fit.V[i-1]-v, m.fit.V[i]-v
		if a*b < 0 {
			t = append(t, m.fit.T[i-1]+(m.fit.T[i]-m.fit.T[i-1])*a/(a-b))
			rises = append(rises, b > a)
		}
	}
	return t, rises
}

// addLevel and addHeight put a result beside the figure.
func (k *sketch) addLevel(m *measuredTrace, quantity, name string) (v float64, ok bool) {
	v, value, ok := m.get(quantity)
	if ok {
		k.levels = append(k.levels, sketchPart{name: name, value: value, a: v})
	}
	return v, ok
}

func (k *sketch) addHeight(value, name string, a, b float64) {
	k.heights = append(k.heights, sketchPart{name: name, value: value, a: a, b: b})
}

// sides are those of a triangle or a ramp: a period and its height from corner to corner, and what the points leave.
func sides(m *measuredTrace) *sketch {
	if m.fit == nil {
		return nil
	}
	k := &sketch{title: "The sides as fitted, and what the points are off them", from: m.from, to: m.to, fit: m.fit, off: true}
	k.caption = []caption{{"", "The straight sides that were fitted. " + strings.Join(m.said("slope", "linearity"), "; ") + "."}}
	lo, hi, ok := span(m.fit.V)
	if !ok {
		return nil
	}
	if _, value, ok := m.get("v_pp", "sides"); ok {
		k.addHeight(value, "peak-to-peak", lo, hi)
	}
	if period, value, ok := m.get("period"); ok {
		for i, t := range m.fit.T {
			if high := m.fit.V[i]; i > 0 && high > (lo+hi)/2 && t+period <= m.to { // from one upper corner to the next
				k.from, k.to = m.part(t, period, 0.3)
				k.lengths = append(k.lengths, sketchPart{name: "period", value: value, a: t, b: t + period, at: high})
				break
			}
		}
	}
	return k
}

// said gives results as they stand in the table of results, in words.
func (m *measuredTrace) said(quantities ...string) (list []string) {
	for _, r := range m.results {
		if slices.Contains(quantities, r.Quantity) {
			list = append(list, quantity(r)+" "+measured(r.Value, r.U, r.Unit))
		}
	}
	return list
}

// states are two levels with their crossings of the middle between them: a period, or the one step.
func states(m *measuredTrace) *sketch {
	k := &sketch{title: "The two levels, and where the trace crosses the middle between them", from: m.from, to: m.to, fit: m.fit}
	low, okLow := k.addLevel(m, "v_low", "low level")
	high, okHigh := k.addLevel(m, "v_high", "high level")
	if !okLow || !okHigh {
		return nil
	}
	middle := (low + high) / 2
	at, rises := m.crossings(middle)
	for _, t := range at {
		k.rings = append(k.rings, [2]float64{t, middle})
	}
	k.caption = []caption{{"", "Rings: where the trace crosses the middle between the two levels."}}
	if _, value, ok := m.get("v_pp", "histogram"); ok {
		k.addHeight(value, "peak-to-peak", low, high)
	}
	period, value, ok := m.get("period")
	for i, t := range at {
		if !ok || !rises[i] || t+period > m.to+0.02*period {
			continue
		}
		k.from, k.to = m.part(t, period, 0.3)
		k.lengths = append(k.lengths, sketchPart{name: "period", value: value, a: t, b: t + period, at: middle})
		if duration, value, ok := m.get("pulse_duration"); ok {
			k.lengths = append(k.lengths, sketchPart{name: "high for", value: value, a: t, b: t + duration, at: middle})
		}
		break
	}
	if _, value, ok := m.get("step_time"); ok && len(at) == 1 {
		k.lengths = append(k.lengths, sketchPart{name: "step after", value: value, a: m.from, b: at[0], at: middle})
	}
	return k
}

// pulses are a base and what stands out of it: one pulse, its duration at mid-height, and the next one or the burst.
func pulses(m *measuredTrace) *sketch {
	k := &sketch{title: "The pulses as measured: base, top and the crossings of mid-height", from: m.from, to: m.to, fit: m.fit}
	lowName, highName := "base", "top"
	if m.isBase("v_high") {
		lowName, highName = highName, lowName
	}
	low, okLow := k.addLevel(m, "v_low", lowName)
	high, okHigh := k.addLevel(m, "v_high", highName)
	position, _, placed := m.get("pulse_position")
	duration, durationValue, lasts := m.get("pulse_duration")
	period, periodValue, repeats := m.get("period")
	if !okLow || !okHigh || !placed || !lasts {
		return k.strokes(m, period, periodValue, repeats)
	}
	middle := (low + high) / 2
	at, _ := m.crossings(middle)
	for _, t := range at {
		k.rings = append(k.rings, [2]float64{t, middle})
	}
	k.caption = []caption{{"", "Rings: where the trace crosses the middle between base and top."}}
	if _, value, ok := m.get("v_pp", "histogram"); ok {
		k.addHeight(value, "amplitude", low, high)
	}
	first := position - duration/2
	k.from, k.to = m.part(first, duration, 2)
	if long, value, ok := m.get("burst_duration"); ok {
		k.from, k.to = m.part(first, long, 0.15)
		k.lengths = append(k.lengths, sketchPart{name: "burst", value: value, a: first, b: first + long, at: middle})
	} else if repeats {
		k.from, k.to = m.part(first, period, 0.3)
	}
	if repeats && first+period < k.to {
		k.lengths = append(k.lengths, sketchPart{name: "period", value: periodValue, a: first, b: first + period, at: middle})
	}
	k.lengths = append(k.lengths, sketchPart{name: "duration", value: durationValue, a: first, b: first + duration, at: middle})
	return k
}

// strokes are pulses so narrow that each is one stroke: the base, and some periods of them.
func (k *sketch) strokes(m *measuredTrace, period float64, value string, repeats bool) *sketch {
	k.title = "The pulses as measured: the base and the strokes that stand out of it"
	k.caption = []caption{{"", "Each pulse is one stroke: bars are the strokes as drawn, points their middles. " + strings.Join(m.said("pulse_duration", "duty_factor"), "; ") + "."}}
	of := "v_low"
	if m.isBase("v_high") {
		of = "v_high"
	}
	base, _, ok := m.get(of)
	if !ok || !repeats {
		return k
	}
	highest := 0.0 // the stroke that stands out most in the first periods
	place := -1
	for i, t := range m.T {
		if off := math.Abs(m.V[i] - base); t < m.from+2*period && off > highest {
			highest, place = off, i
		}
	}
	if place < 0 {
		return k
	}
	k.fit, k.band = nil, len(m.Stroke) > 0
	k.from, k.to = m.part(m.T[place], period, 2.2)
	if height, value, ok := m.get("v_pp"); ok {
		k.addHeight(value, "peak-to-peak", base, base+math.Copysign(height, m.V[place]-base))
	}
	k.lengths = append(k.lengths, sketchPart{name: "period", value: value, a: m.T[place], b: m.T[place] + period, at: m.V[place]})
	return k
}

// scatter is a band about its mean: of noise, or of a steady level.
func scatter(m *measuredTrace) *sketch {
	k := &sketch{title: "The points about their mean, and how many lie where", from: m.from, to: m.to}
	mean, ok := k.addLevel(m, "v_mean", "mean")
	name := "rms"
	sd, value, known := m.get("v_rms")
	if !known {
		name = "deviation"
		sd, value, known = m.get("v_sd")
	}
	if !ok || !known || !(sd > 0) {
		return nil
	}
	k.normal = &[2]float64{mean, sd}
	k.addHeight(value, name, mean, mean+sd)
	if pp, value, ok := m.get("v_pp"); ok {
		lo, hi, _ := span(m.V)
		k.addHeight(value, "peak-to-peak", (lo+hi-pp)/2, (lo+hi+pp)/2)
	}
	k.caption = []caption{{"", "At the right how often the trace is at each voltage, and the normal distribution of that mean and " + name + "."}}
	if k.band = m.Signal == "noise" && len(m.Stroke) > 0; k.band { // a level's strokes are as thick as the beam
		k.caption = append(k.caption, caption{"", "Bars are the strokes as drawn, points their middles; peak-to-peak is from the top of the highest to" +
			" the bottom of the lowest, less one stroke."})
	}
	if width := m.said("bandwidth"); len(width) > 0 {
		k.caption = append(k.caption, caption{"", strings.Join(width, "; ")})
	}
	return k
}
