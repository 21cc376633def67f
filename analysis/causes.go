package analysis

// What may stand behind a disagreement, and what the usual mistakes would do to this τ. Each cause is counted as
// large as it usually is (a ground line off by a tenth of a box, an input of 1 MΩ, a part of ±20 %; common practice,
// no source), and how much of the gap it could explain follows from this decay and this circuit.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/calibrate/remark"
)

const (
	// usualSource is the source resistance of a generator, Ω; usualPart and usualResistor are the tolerances of an
	// electrolytic capacitor and of a resistor as marked (common practice, no source).
	// TestCausesAreOrderedByWhatTheyCouldExplain and TestWhatIfsFitTheCircuit would notice.
	usualSource, usualPart, usualResistor = 50.0, 0.20, 0.05
	// groundOff and levelOff, in boxes, are how far a ground line and a level are easily misplaced: half a minor tick, and
	// a quarter of one for a level that a trace lies along (TestWhatIfOfAHeldLevelHasTheSensitivityOfTheModel,
	// TestByHowMuchALevelIsMisplaced).
	groundOff, levelOff = 0.1, 0.05
	// heightOff stands for levelOff where no box is known, as a share of the height (TestByHowMuchALevelIsMisplaced).
	heightOff = 0.01
	// minorCause is the share of a gap below which a cause is not worth a word (TestWhichCausesAreNamed).
	minorCause = 0.05
	// nearlyAll is the share from which on a cause counts as one that could explain all
	// (TestCausesAreOrderedByWhatTheyCouldExplain).
	nearlyAll = 0.9
)

// A cause of a disagreement, and the gap in s that it could make at most; of either sign if either is set. A fitted one
// was given the size that makes the gap, which is no merit of its.
type cause struct {
	what           remark.Remark
	gap            float64
	either, fitted bool
}

// explain orders the causes that go the way of the gap by the share of it that each could explain. Among those that
// could explain all, the one whose usual size is nearest to the gap comes first.
func explain(gap float64, causes []cause) (list []remark.Remark) {
	share := func(c cause) float64 {
		if c.either {
			return math.Abs(c.gap / gap)
		}
		return c.gap / gap
	}
	causes = slices.DeleteFunc(causes, func(c cause) bool { return !(share(c) > minorCause) })
	sort.SliceStable(causes, func(i, j int) bool {
		a, b := causes[i], causes[j]
		beyond := func(c cause) float64 {
			if c.fitted {
				return math.Inf(1)
			}
			return math.Max(share(c), 1/share(c))
		}
		return cmp.Or(cmp.Compare(math.Min(share(b), nearlyAll), math.Min(share(a), nearlyAll)), cmp.Compare(beyond(a), beyond(b))) < 0
	})
	for _, c := range causes {
		c.what.Values = append(c.what.Values, remark.Number("share", share(c)))
		list = append(list, c.what)
	}
	return list
}

// A mistakes is what the usual mistakes would do to τ of a record's decays.
type mistakes struct {
	scheme   *scheme
	settings *Settings
	tau      float64 // s, by the curve
	bend     bend
}

// causes of a gap from a to b. The other ways have the curve's causes to differ from R·C, which are told once.
func (m *mistakes) causes(a, b Result) []remark.Remark {
	gap := b.Value.X - a.Value.X
	switch {
	case b.Method != "rc":
		return explain(gap, m.readingCauses(a.Method, b.Method))
	case a.Method != "curve":
		return nil
	case beyondParts(a.Value.X, b.Value.X):
		return []remark.Remark{remark.Of(KindCauseTimePerBox)}
	}
	return explain(gap, m.partCauses(b.Value.X, a.Value.X))
}

// partCauses are those of a gap R·C - τ.
func (m *mistakes) partCauses(rc, tau float64) []cause {
	s := m.settings
	gap, loop := rc-tau, s.Resistance.X+s.SourceResistance.X
	var list []cause
	add := func(either bool, gap float64, what remark.Remark) {
		list = append(list, cause{what: what, gap: gap, either: either})
	}
	if s.InputResistance.X == 0 {
		add(false, rc*loop/(loop+usualInput), remark.Of(KindCauseInput))
	}
	if s.SourceResistance.X == 0 {
		add(false, -rc*usualSource/loop, remark.Of(KindCauseSource))
	}
	if limit := math.Sqrt(3) * s.Capacitance.U / s.Capacitance.X; s.usual[1] == 0 && limit < usualPart {
		add(true, usualPart*rc, remark.Of(KindCauseCapacitor, remark.Number("limit_share", usualPart)))
	}
	if limit := math.Sqrt(3) * s.Resistance.U / s.Resistance.X; s.usual[0] == 0 && limit < usualResistor {
		add(true, usualResistor*rc, remark.Of(KindCauseResistor, remark.Number("limit_share", usualResistor)))
	}
	if m.settings.Settles != SettlesFree {
		add(true, tau*m.givenMove(groundOff), misplacedBy(KindCauseLevel, m.misplaced(groundOff)))
	}
	if leak := 1 / (s.Capacitance.X/tau - s.Capacitance.X/rc); gap > 0 && leak > loop {
		list = append(list, cause{what: remark.Of(KindCauseLeak, remark.Number("leak_ohm", leak)), gap: gap, fitted: true})
	}
	if series := -gap / s.Capacitance.X; gap < 0 && series < loop {
		list = append(list, cause{what: remark.Of(KindCauseSeries, remark.Number("series_ohm", series)), gap: gap, fitted: true})
	}
	return list
}

// readingCauses are those of a gap between two methods that read the same points.
func (m *mistakes) readingCauses(a, b string) []cause {
	var list []cause
	tau := m.tau
	if (a == "log_line") != (b == "log_line") {
		if move := m.lineMove(levelOff); move > 0 {
			list = append(list, cause{what: misplacedBy(KindCauseVInf, m.misplaced(levelOff)), gap: tau * move, either: true})
		}
	}
	if (a == "half_life") != (b == "half_life") {
		most := 0.0
		for _, p := range m.scheme.plans {
			if len(p.half.windows) > 0 && p.half.from == nil {
				most = math.Max(most, math.Abs(p.half.weights[0])/math.Ln2*medianStep(m.scheme.points.t))
			}
		}
		list = append(list, cause{what: remark.Of(KindCauseKnee, remark.Number("step_s", medianStep(m.scheme.points.t))), gap: most, either: true})
	}
	if limit := m.bend.limit(); limit > 0 {
		list = append(list, cause{what: remark.Of(KindCauseBend), gap: limit, either: true})
	}
	return list
}

// A misplacement of a level is one of so many boxes, or of a share of the height for a table, and of so many volts.
type misplacement struct{ volts, boxes, share float64 }

func (m *mistakes) misplaced(boxes float64) misplacement {
	if box := m.scheme.points.rec.VoltsPerBox; box > 0 {
		return misplacement{volts: boxes * box, boxes: boxes}
	}
	share := boxes / levelOff * heightOff
	return misplacement{volts: share * height(m.scheme.points.v), share: share}
}

// misplacedBy is a remark on it.
func misplacedBy(k remark.Kind, by misplacement, more ...remark.Value) remark.Remark {
	if by.boxes != 0 {
		return remark.Of(k, append(more, remark.Number("off_v", by.volts), remark.Number("off_box", by.boxes))...)
	}
	return remark.Of(k, append(more, remark.Number("off_v", by.volts), remark.Number("off_share", by.share))...)
}

// levelMove is by what share τ of the curve grows when V∞ is held beyond the fitted one by so many boxes.
func (m *mistakes) levelMove(boxes float64) float64 {
	share := 0.0
	volts := m.misplaced(boxes).volts
	n := 0.0
	p := m.scheme.points
	for _, q := range m.scheme.pieces {
		t, v, w := p.gather(q.use, p.t, p.v)
		c := q.fit.c - volts*math.Copysign(1, q.fit.a)
		if f, ok := fitExponential(t, v, w, q.fit.ref, &c, q.fit.tau); ok {
			share, n = share+f.tau/q.fit.tau-1, n+1
		}
	}
	return share / n
}

// givenMove is by what share τ of the curve grows when the level that was given lies so many boxes beyond: less than if
// the curve were held to it where it has an end of its own. Decays that do not settle there do not move.
func (m *mistakes) givenMove(boxes float64) float64 {
	share := 0.0
	volts := m.misplaced(boxes).volts
	p := m.scheme.points
	for _, q := range m.scheme.pieces {
		if q.fixedC == nil {
			continue
		}
		t, v, w := p.gather(q.use, p.t, p.v)
		c := *q.fixedC - volts*math.Copysign(1, q.fit.a)
		f, ok := fitTowards(t, v, w, q.fit.ref, &c, q.loose, q.fit.tau)
		if !ok {
			return math.NaN()
		}
		share += f.tau/q.fit.tau - 1
	}
	return share / float64(len(m.scheme.pieces))
}

// lineMove is by what share τ of the log line moves when V∞ is misplaced by so many boxes.
func (m *mistakes) lineMove(boxes float64) float64 {
	share := 0.0
	volts := m.misplaced(boxes).volts
	n := 0.0
	p := m.scheme.points
	for i, q := range m.scheme.pieces {
		use := m.scheme.plans[i].log
		if use == nil {
			continue
		}
		t, v, w := p.gather(use, p.t, p.v)
		z, moved := make([]float64, 0, len(use)), make([]float64, 0, len(use))
		for k := range use {
			y := (v[k] - q.fit.c) / q.fit.a
			y2 := (v[k] - q.fit.c + math.Copysign(volts, q.fit.a)) / q.fit.a
			if !(y > 0 && y2 > 0) {
				return 0
			}
			w[k] *= w[k] * (q.fit.at(t[k]) - q.fit.c) * (q.fit.at(t[k]) - q.fit.c)
			z, moved = append(z, math.Log(y)), append(moved, math.Log(y2))
		}
		share, n = share+math.Abs(straightLine(t, z, w).slope/straightLine(t, moved, w).slope-1), n+1
	}
	if n == 0 {
		return 0
	}
	return share / n
}
