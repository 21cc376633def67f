package reading

// From traces to findings: each trace is scaled into a record, and those that are wanted are analysed, alone and two by
// two.

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/vision/geom"
)

// apply scales the wanted traces by their own setups, and those that are only listed. Where a wanted one lacks a scale,
// that axis stays in boxes.
func (c *chain) apply() error {
	r := c.r
	first := r.Setup
	listed := first
	if c.s.Listed != nil {
		listed = *c.s.Listed
		listed.TimePerBox = first.TimePerBox
	}
	setups := make([]calibrate.Setup, len(r.Traces))
	for i := range setups {
		setups[i] = listed
	}
	wanted := make([]bool, len(r.Traces))
	for _, a := range r.All() {
		setups[a.Chosen], wanted[a.Chosen] = inBoxes(a.Setup), true
		if scaled(a.Setup) {
			continue
		}
		r.noteScales(a.Setup)
		values := []remark.Value{remark.Word("trace", r.AboutTrace(a)),
			remark.Flag("volts", a.Setup.VoltsPerBox.X == 0), remark.Flag("seconds", a.Setup.TimePerBox.X == 0)}
		if c.s.Paper { // what a square stands for is for the person to say; the squares are right without it
			r.Notes = append(r.Notes, remark.Of(KindSquaresUnscaled, values...))
			continue
		}
		r.Doubts = append(r.Doubts, remark.Of(KindScalesUnknown, values...))
	}
	r.Records, c.records = make([]*calibrate.Record, len(r.Traces)), make([]key, len(r.Traces))
	for i, t := range r.Traces {
		if !wanted[i] && !scaled(setups[i]) {
			continue
		}
		c.records[i] = keyOf("record", c.traces, i, setups[i])
		rec, err := made(c, c.records[i], func() (*calibrate.Record, error) { return setups[i].Apply(t) })
		if err != nil {
			return err
		}
		r.Records[i] = rec
	}
	return nil
}

// noteScales tells what of a setup says nothing without the scale that it belongs to.
func (r *Reading) noteScales(s calibrate.Setup) {
	tell := func(scale string, names ...string) {
		if names = slices.DeleteFunc(names, func(n string) bool { return n == "" }); len(names) > 0 {
			r.Notes = append(r.Notes, remark.Of(analysis.KindNeedsScale, remark.Word("scale", scale), remark.Word("settings", strings.Join(names, " "))))
		}
	}
	given := func(name string, x float64) string {
		if x == 0 {
			return ""
		}
		return name
	}
	if s.VoltsPerBox.X == 0 {
		tell("volts per box", given("probe", s.Probe), given("volts-accuracy", s.GainLimit))
	}
	if s.TimePerBox.X == 0 {
		tell("time per box", given("time-accuracy", s.TimeLimit))
	}
}

// inBoxes gives a setup whose missing scales are the box.
func inBoxes(s calibrate.Setup) calibrate.Setup {
	if s.VoltsPerBox.X == 0 {
		s.VoltsPerBox = calibrate.InBoxes
	}
	if s.TimePerBox.X == 0 {
		s.TimePerBox = calibrate.InBoxes
	}
	return s
}

// scaled says that both scales of a setup are known.
func scaled(s calibrate.Setup) bool { return s.VoltsPerBox.X != 0 && s.TimePerBox.X != 0 }

// analyse works out every wanted trace, and then what each two of them give together. Of several, one that fits no
// signal is doubted and does not end the reading of the others.
func (c *chain) analyse() error {
	r, failed := c.r, 0
	all := r.All()
	c.findings = make([]key, len(all))
	for i, a := range all {
		own, err := c.wanted[i].analysisOf(inBoxes(a.Setup), r.Traces[a.Chosen].Frame)
		if err != nil {
			return err
		}
		c.findings[i] = keyOf("findings", c.records[a.Chosen], own)
		a.Findings, err = made(c, c.findings[i], func() (*analysis.Findings, error) {
			return analysis.Analyse(c.ctx, r.Records[a.Chosen], &own)
		})
		var none *analysis.NotFoundError
		switch {
		case err == nil && r.onlySquares(a):
			a.Findings = withoutDoubts(a.Findings)
		case err == nil:
		case errors.As(err, &none) && (!scaled(a.Setup) || failed+1 < len(all)): // its grid and its rims are of use
			failed++
			r.Doubts = append(r.Doubts, remark.Of(KindTraceNotWorkedOut, remark.Word("trace", r.Traces[a.Chosen].Name),
				remark.Word("reason", none.Reason), remark.Word("hint", none.Hint)))
		default:
			return err
		}
	}
	for i, a := range all {
		for j, b := range all[i+1:] {
			if a.Findings == nil || b.Findings == nil {
				continue
			}
			one, two := r.subject(a), r.subject(b)
			k := keyOf("pair", one.Name, c.findings[i], two.Name, c.findings[i+1+j])
			p, err := made(c, k, func() (*analysis.Pair, error) { return analysis.Between(c.ctx, one, two), nil })
			if err != nil {
				return err
			}
			r.Pairs = append(r.Pairs, Pair{a.Chosen, b.Chosen, p})
		}
	}
	return nil
}

// withoutDoubts gives findings whose doubts are notes: those of a curve on paper of which nobody said what a square
// stands for. Any graph is drawn on squared paper, so its kind is no more than a guess, and its points are right
// without. All of 11 drawings by others that were read right had such a doubt.
func withoutDoubts(f *analysis.Findings) *analysis.Findings {
	out := *f
	out.Doubts, out.Notes = nil, slices.Concat(f.Doubts, f.Notes)
	out.Results = slices.Clone(f.Results)
	for i := range out.Results {
		r := &out.Results[i]
		r.Doubts, r.Notes = nil, slices.Concat(r.Doubts, r.Notes)
	}
	return &out
}

// subject names the findings of a trace.
func (r *Reading) subject(a *Analysed) analysis.Subject {
	return analysis.Subject{Name: r.Traces[a.Chosen].Name, Findings: a.Findings}
}

// analysisOf gives the settings of the analysis of a trace scaled by used on a frame, the part to use in seconds.
func (s *TraceSettings) analysisOf(used calibrate.Setup, f geom.Frame) (analysis.Settings, error) {
	own := s.Analysis
	if used.TimePerBox.Unit == unit.Box && (own.From != nil || own.To != nil) {
		return own, &SettingError{"from", "--from and --to in seconds need the time per box", "give them in boxes from the centre, or give --time-per-box"}
	}
	for _, end := range []struct {
		field string
		box   *float64
		to    **float64
	}{{"from", s.FromBox, &own.From}, {"to", s.ToBox, &own.To}} {
		if end.box == nil {
			continue
		}
		if !(math.Abs(*end.box) <= -f.Left()) {
			return own, &SettingError{end.field, fmt.Sprintf("--%s %g lies outside the frame", end.field, *end.box),
				fmt.Sprintf("boxes count from the centre: %g to %g on the grid that was found; if the display has more, give its count with --boxes", f.Left(), -f.Left())}
		}
		t := (*end.box - f.Left()) * used.TimePerBox.X
		*end.to = &t
	}
	if own.From != nil && own.To != nil && *own.From >= *own.To {
		return own, &SettingError{"from", fmt.Sprintf("the part to use ends (%.4g s) before it begins (%.4g s)", *own.To, *own.From),
			"give --from left of --to"}
	}
	return own, nil
}
