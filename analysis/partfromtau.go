package analysis

// The part that was not measured, from τ and the one that was. With Rin of the instrument in parallel and Rs of the
// generator in series (rc.go),
//
//	C = τ/Reff,  Reff = (R + Rs)·Rin/(R + Rs + Rin)
//	R = Reff·Rin/(Rin − Reff) − Rs,  Reff = τ/C
//
// and each input's uncertainty goes in by the derivative (JCGM 100:2008, 5.1.3).

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// smallLoad is the share of a part that an input of 1 MΩ may take and still be in its uncertainty when the input was
// not given; a larger one is doubted (TestWhatAnInputTakesOfAPart).
const smallLoad = 0.05

// partFromTau gives C if only R was given, R if only C was; ok is false otherwise, or if results have no τ from the
// curve, or one that no resistance gives. The doubts of τ are the part's too.
func partFromTau(s *Settings, results []Result) (r Result, ok bool) {
	if (s.Resistance.X > 0) == (s.Capacitance.X > 0) {
		return r, false
	}
	var tau *Result
	for i := range results {
		if results[i].Quantity == "tau" && results[i].Method == "curve" && results[i].Value.U > 0 {
			tau = &results[i]
			break
		}
	}
	if tau == nil {
		return r, false
	}
	quantity, in, x, byTau, by := partOf(s, tau.Value.X)
	if !(x > 0) || math.IsInf(x, 0) {
		return r, false
	}
	var budget []Term
	for _, t := range tau.Budget {
		t.Sensitivity, t.U = t.Sensitivity*byTau, t.U*math.Abs(byTau)
		budget = append(budget, t)
	}
	for i, part := range circuitParts(s) {
		if part.value.X > 0 {
			part.value.Unit = []string{"Ω", "F", "Ω", "Ω"}[i]
			budget = append(budget, inputTerm(part.name, part.value, "rectangular", by[i]))
		}
	}
	unloaded := 0.0 // by how much an input that was not given may shift it
	if s.InputResistance.X == 0 {
		loaded := *s
		loaded.InputResistance = unit.Value{X: usualInput, Unit: "Ω"}
		_, _, other, _, _ := partOf(&loaded, tau.Value.X)
		unloaded = math.Abs(other - x)
		if unloaded <= smallLoad*x {
			budget = append(budget, inputTerm("input resistance, not given", unit.Value{X: math.NaN(), U: unloaded / math.Sqrt(3), Unit: in}, "rectangular", 1))
		}
	}
	r = newResult(quantity, "from tau", "", x, in, budget)
	r.Doubts = append(r.Doubts, tau.Doubts...)
	r.Notes = append(append(r.Notes, s.tolerancesTaken()...), s.sourceRemark(r)...)
	if unloaded > 0 {
		counted := unloaded <= smallLoad*x
		says := remark.Of(KindInputUnknownForPart, remark.Number("share", unloaded/x), remark.Flag("counted", counted))
		if counted {
			r.Notes = append(r.Notes, says)
		} else {
			r.Doubts = append(r.Doubts, says)
		}
	}
	return r, true
}

// partOf gives the part x, and its derivatives by τ and by each of circuitParts; x is not above 0 if no part gives
// τ.
func partOf(s *Settings, tau float64) (quantity, in string, x, byTau float64, by [4]float64) {
	rs, load := s.SourceResistance.X, s.InputResistance.X
	if c := s.Capacitance.X; c > 0 {
		eff := tau / c
		shunt := 1.0 // Reff/(R + Rs)
		if load > 0 {
			shunt = 1 - eff/load
		}
		if shunt <= 0 {
			return "resistance", "Ω", 0, 0, by
		}
		loop, byEff := eff/shunt, 1/(shunt*shunt)
		if load > 0 {
			by[2] = -(loop / load) * (loop / load)
		}
		by[1], by[3] = -byEff*eff/c, -1
		return "resistance", "Ω", loop - rs, byEff / c, by
	}
	loop, shunt := s.Resistance.X+rs, 1.0
	if load > 0 {
		shunt = load / (loop + load)
	}
	eff := loop * shunt
	x = tau / eff
	by[0], by[2], by[3] = -x/eff*shunt*shunt, -x/eff*(1-shunt)*(1-shunt), -x/eff*shunt*shunt
	return "capacitance", "F", x, 1 / eff, by
}
