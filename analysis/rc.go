package analysis

// τ from the parts: R·C with the meters' accuracies, and what else is in the loop. A generator that charges and
// discharges has its source resistance in series with R; the instrument's input resistance is in parallel
// with both:
//
//	τ = C·(R + Rs)·Rin/(R + Rs + Rin)

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A circuitPart is one of the settings' parts with its name for people and its field for errors.
type circuitPart struct {
	name, field string
	value       unit.Value
}

func circuitParts(s *Settings) []circuitPart {
	return []circuitPart{
		{"resistance R", "resistance", s.Resistance},
		{"capacitance C", "capacitance", s.Capacitance},
		{"input resistance of the instrument", "input-resistance", s.InputResistance},
		{"source resistance of the generator", "source-resistance", s.SourceResistance},
	}
}

// withTolerances gives the settings with the usual tolerance of a marked part for R and C where nothing was said of how
// well they are known: to count them as exact would be a claim that nobody made.
func (s *Settings) withTolerances() *Settings {
	own := *s
	for i, part := range []*unit.Value{&own.Resistance, &own.Capacitance} {
		if part.X > 0 && part.U == 0 {
			own.usual[i] = []float64{usualResistor, usualPart}[i]
			*part = unit.Limits(part.X, own.usual[i]*part.X, part.Unit)
		}
	}
	return &own
}

// tolerancesTaken notes them.
func (s *Settings) tolerancesTaken() (notes []remark.Remark) {
	for i, limit := range s.usual {
		if limit > 0 {
			notes = append(notes, remark.Of(KindNoAccuracy, remark.Word("part", circuitParts(s)[i].name), remark.Number("limit_share", limit)))
		}
	}
	return notes
}

// tauRC gives τ of the parts and its budget; NaN without R or C. An input resistance of 0 means that none
// was given, and no load.
func tauRC(s *Settings) (tau float64, budget []Term) {
	r, c := s.Resistance.X+s.SourceResistance.X, s.Capacitance.X
	if !(s.Resistance.X > 0) || !(c > 0) {
		return math.NaN(), nil
	}
	shunt := 1.0 // Rin/(R + Rs + Rin)
	if in := s.InputResistance.X; in > 0 {
		shunt = in / (r + in)
	}
	tau = r * shunt * c
	byR, byIn := c*shunt*shunt, c*(1-shunt)*(1-shunt)
	for i, by := range []float64{byR, r * shunt, byIn, byR} {
		if part := circuitParts(s)[i]; part.value.X > 0 {
			v := part.value
			v.Unit = []string{"Ω", "F", "Ω", "Ω"}[i]
			budget = append(budget, inputTerm(part.name, v, "rectangular", by))
		}
	}
	return tau, budget
}

// loopResistance gives what the capacitor sees if R is not alone: (R + Rs)·Rin/(R + Rs + Rin); ok is false if it is.
func loopResistance(s *Settings) (r Result, ok bool) {
	if !(s.Resistance.X > 0) || s.InputResistance.X == 0 && s.SourceResistance.X == 0 {
		return r, false
	}
	loop, label := s.Resistance.X+s.SourceResistance.X, "R"
	if s.SourceResistance.X > 0 {
		label = "R + Rs"
	}
	shunt := 1.0
	if in := s.InputResistance.X; in > 0 {
		shunt = in / (loop + in)
		if label != "R" {
			label = "(" + label + ")"
		}
		label += " ∥ Rin"
	}
	var budget []Term
	for i, by := range []float64{shunt * shunt, 0, (1 - shunt) * (1 - shunt), shunt * shunt} {
		if part := circuitParts(s)[i]; part.value.X > 0 && by > 0 {
			part.value.Unit = "Ω"
			budget = append(budget, inputTerm(part.name, part.value, "rectangular", by))
		}
	}
	r = newResult("loop_resistance", "parallel", label, loop*shunt, "Ω", budget)
	return r, true
}

// usualInput is the input resistance of an oscilloscope, Ω (common practice, no source;
// TestCausesAreOrderedByWhatTheyCouldExplain would notice).
const usualInput = 1e6

// looseTolerance is the relative u of R·C above which agreement with it says little: a part of ±20 % has
// 11.5 % (TestALooseProductIsToldAsSuch).
const looseTolerance = 0.05

// rcRemarks are what to know of a value from the parts, and what to doubt.
func rcRemarks(s *Settings, r Result) (notes, doubts []remark.Remark) {
	notes = s.tolerancesTaken()
	if r.Value.U > looseTolerance*r.Value.X {
		notes = append(notes, remark.Of(KindRCLoose, remark.Number("share", r.Value.U/r.Value.X)))
	}
	if s.InputResistance.X == 0 {
		share := s.Resistance.X / (s.Resistance.X + usualInput)
		says := remark.Of(KindInputUnknown, remark.Number("share", share))
		if share*r.Value.X > r.Expanded {
			doubts = append(doubts, says)
		} else {
			notes = append(notes, says)
		}
	}
	return append(notes, s.sourceRemark(r)...), doubts
}

// sourceTells is the share of U that a generator's source resistance must add to R for it to be worth a word: a third
// added in quadrature widens U by 5 % (TestTheSourceIsSuggestedByItsSize).
const sourceTells = 1.0 / 3

// sourceRemark suggests a generator's source resistance beside r, which is made of R, where it matters and was not
// given. A discharge through a switch has none, so that it is no doubt.
func (s *Settings) sourceRemark(r Result) []remark.Remark {
	share := usualSource / (s.Resistance.X + usualSource)
	if s.SourceResistance.X > 0 || !(s.Resistance.X > 0) || !(share*r.Value.X > sourceTells*r.Expanded) {
		return nil
	}
	return []remark.Remark{remark.Of(KindSourceUnknown, remark.Number("share", usualSource/s.Resistance.X), remark.Flag("for_part", r.Quantity != "tau"))}
}

// circuitResults are those of the parts: R·C, the part that was not given, and the resistance of the loop; results are
// those of the trace.
func circuitResults(s *Settings, results []Result) (list []Result) {
	if tau, budget := tauRC(s); budget != nil {
		r := newResult("tau", "rc", "", tau, "s", budget)
		r.Notes, r.Doubts = rcRemarks(s, r)
		list = append(list, r)
	}
	if r, ok := partFromTau(s, results); ok {
		list = append(list, r)
	}
	if r, ok := loopResistance(s); ok {
		list = append(list, r)
	}
	return list
}

// circuitModel says how to make result q, one of the circuit's, once more.
func circuitModel(q int, r Result) model {
	m := model{first: q, count: 1}
	switch r.Quantity {
	case "tau":
		m.of = func(t *trial) []float64 {
			tau, _ := tauRC(t.settings)
			return []float64{tau}
		}
	case "loop_resistance":
		m.of = func(t *trial) []float64 {
			r, _ := loopResistance(t.settings)
			return []float64{r.Value.X}
		}
	default:
		m.derived = true
		m.of = func(t *trial) []float64 {
			_, _, x, _, _ := partOf(t.settings, t.x[0]) // the first result is τ of the curve
			return []float64{x}
		}
	}
	return m
}
