package analysis

// Decay of a capacitor's voltage, falling or rising:
//
//	V(t) = V∞ + (V0 - V∞)·exp(-(t - t0)/τ)
//
// The record is cut into decays (segments.go, pieces.go) and each is fitted by variable projection
// (exponential.go). Beside the fitted curve τ is found as the lab sheet asks: by the straight line through
// ln|V - V∞| (logline.go), by half-lives (halflife.go) and from R and C (rc.go). Results of several decays are
// averaged with the weights of their own noise.
//
// Every number is made by one function of the record, evaluate. It carries with each number its influence,
// the derivative by each single point, from which the noise and what two methods share of it follow
// (correlate.go); called on moved records it gives the effects that move all points together (budget.go).

import (
	"context"
	"fmt"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A decay is the problem: the points and settings, and what was planned on them. The plan (which points
// belong to what, and the weights of averages) is made once and stays when the record is moved.
type decay struct {
	settings *Settings
	rec      *calibrate.Record
	points   *points
	at       []int     // index in the record of each point
	t, v     []float64 // s, V
	sigma    []float64 // V; 1 for all if the record states none
	pieces   []*piece
	noise    noise
	plans    []plan // one a piece
	pools    map[string]*pooling
	base     []numbers // of the record as it is
	out      []output
	alike    *homogeneity // nil for one decay
	birge    float64      // at least 1
	bend     bend
	// levelLabels name the times at Settings.Levels.
	levelLabels []string
	notes       []remark.Remark
	doubts      []remark.Remark
}

// FitDecay gives the findings of a record that holds one or more decays. Its errors are *NotFoundError, if
// there is no decay to be found, and *calibrate.SetupError, if a setting makes no sense.
func FitDecay(rec *calibrate.Record, s *Settings) (*Findings, error) {
	return fitDecay(context.Background(), rec, s)
}

// fitDecay is FitDecay until ctx is done; its findings are not whole then.
func fitDecay(ctx context.Context, rec *calibrate.Record, s *Settings) (*Findings, error) {
	if s == nil {
		s = &Settings{}
	}
	if err := checkDecaySettings(s); err != nil {
		return nil, err
	}
	d, err := newDecay(rec, s)
	if err != nil {
		return nil, err
	}
	if d.pieces = d.findPieces(); len(d.pieces) == 0 {
		return nil, &NotFoundError{
			Reason: "the record holds no decay whose bend tells a time constant",
			Hint:   "choose the part to use, or another kind of signal; a decay must be seen for about 2 time constants at least",
		}
	}
	if err := d.keepTelling(); err != nil {
		return nil, err
	}
	d.plan()
	f := &Findings{Signal: SignalDecay}
	f.Results = d.results(ctx)
	if len(d.out) == 0 || d.out[0].quantity != "tau" { // the noise of so few points is not to be told
		return nil, &NotFoundError{
			Reason: "the decay has too few points for its time constant to be told with an uncertainty",
			Hint:   "choose a longer part of the record, or set the sweep so that the decay fills the screen",
		}
	}
	f.again = d.replay(f.Results)
	d.compare(f)
	f.WhatIfs = d.whatIfs()
	d.draw(f)
	notes, doubts := d.physics()
	f.Notes, f.Doubts = append(d.notes, notes...), append(append(d.doubts, doubts...), farApart(f)...)
	return f, nil
}

// checkDecaySettings refuses settings that cannot be meant.
func checkDecaySettings(s *Settings) error {
	bad := func(field, reason, hint string) error {
		return &calibrate.SetupError{Field: field, Reason: reason, Hint: hint}
	}
	for _, x := range []*float64{s.From, s.To} {
		if x != nil && (math.IsNaN(*x) || math.IsInf(*x, 0)) {
			return bad("from", "the limits of the part to use are not numbers", "give the limits in seconds or boxes")
		}
	}
	if s.From != nil && s.To != nil && !(*s.From < *s.To) {
		return bad("from", fmt.Sprintf("the part to use begins at %g s and ends at %g s", *s.From, *s.To), "give a beginning that lies before the end")
	}
	if s.Settles == SettlesGiven && (math.IsNaN(s.SettlesAt) || math.IsInf(s.SettlesAt, 0)) {
		return bad("settles-at", "the level that the decay settles at is not a number", "give it in volts, or as ground or free")
	}
	for _, v := range s.Levels {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return bad("at", "a level to read the time at is not a number", "give it in volts")
		}
	}
	for _, part := range circuitParts(s) {
		if x := part.value; x.X < 0 || math.IsNaN(x.X) || math.IsInf(x.X, 0) || x.U < 0 || math.IsInf(x.U, 0) {
			return bad(part.field, fmt.Sprintf("the %s is %g %s ± %g", part.name, x.X, x.Unit, x.U), "give a value above zero with its accuracy, such as 21.9k±0.3%")
		}
	}
	return nil
}

// newDecay gathers the points of rec that can be used, and refuses a trace without a decay.
func newDecay(rec *calibrate.Record, s *Settings) (*decay, error) {
	p, err := choose(rec, s)
	if err != nil {
		return nil, err
	}
	d := &decay{settings: s, rec: rec, points: p, at: p.at, t: p.t, v: p.v, sigma: p.sigma}
	if len(d.t) < fewestPoints+2 {
		return nil, &NotFoundError{
			Reason: fmt.Sprintf("only %d points of the record can be used, too few for a decay", len(d.t)),
			Hint:   "widen the part to use, or read more points",
		}
	}
	if p.unknown {
		d.sigma = make([]float64, len(d.t))
		for j := range d.sigma {
			d.sigma[j] = math.Max(scatter(d.v), leastScatter*height(d.v))
		}
	}
	typical := median(d.sigma)
	if h := height(d.v); !(h > flatHeight*typical) || h == 0 {
		return nil, &NotFoundError{
			Reason: fmt.Sprintf("the trace is flat: it changes by %s, and its points are uncertain by %s", unit.Engineering(h, 2, "V"), unit.Engineering(typical, 2, "V")),
			Hint:   "take the photo while the capacitor discharges, or measure the trace as a level",
		}
	}
	return d, nil
}

// leastScatter, as a share of the height, stands in for the uncertainty of points that have none stated and do not
// scatter; it only tells where the decays are.
const leastScatter = 1e-3

// flatHeight, in standard deviations of a point, is the least height of a record with a decay: noise alone
// reaches 5 to 6 between the extremes of 1000 points (TestFlatTraceIsRefused).
const flatHeight = 8

// statedSigma gives the standard deviations of the points at; a missing one is replaced by the median of the
// others, and nil means that none is stated.
func statedSigma(rec *calibrate.Record, at []int, stated bool) []float64 {
	if !stated {
		return nil
	}
	ok := func(s float64) bool { return s > 0 && !math.IsInf(s, 0) }
	var known []float64
	for _, j := range at {
		if ok(rec.Sigma[j]) {
			known = append(known, rec.Sigma[j])
		}
	}
	if len(known) == 0 {
		return nil
	}
	usual := median(known)
	out := make([]float64, len(at))
	for i, j := range at {
		if out[i] = usual; ok(rec.Sigma[j]) {
			out[i] = rec.Sigma[j]
		}
	}
	return out
}

// keepTelling measures the noise and keeps the pieces that tell τ: within a third each, or the best one alone. A
// piece off its curve by much more than the others is not one decay, and goes too.
func (d *decay) keepTelling() error {
	scatters := make([]float64, len(d.pieces))
	for i, p := range d.pieces {
		scatters[i] = math.Sqrt(p.fit.chiSq / float64(len(p.use)))
	}
	usual := median(scatters)
	strange := d.drop(func(i int) bool { return scatters[i] > strangeScatter*math.Max(1, usual) && len(scatters) > 2 })
	d.noise = d.measureNoise()
	best, bestAt := math.Inf(1), -1
	u := make([]float64, len(d.pieces))
	for i, p := range d.pieces {
		if u[i] = math.Sqrt(d.noise.variance(d.spread(p.use, p.fit.dLogTau)[:len(d.t)])); u[i] < best {
			best, bestAt = u[i], i
		}
	}
	if !(best <= hopeless) {
		return &NotFoundError{
			Reason: "the decay is lost in the noise: its time constant is not told within a factor of 2",
			Hint:   "show the decay larger on the screen, over 3 to 5 time constants",
		}
	}
	short := d.drop(func(i int) bool { return i != bestAt && !(u[i] <= math.Max(vague, 3*best)) })
	if short > 0 {
		d.noise = d.measureNoise()
	}
	if short+strange > 0 {
		d.notes = append(d.notes, remark.Text(fmt.Sprintf("%d more stretches look like parts of decays but are too short or too uneven to tell a time constant; they were left out.", short+strange)))
	}
	return nil
}

const (
	// hopeless and vague are standard uncertainties of ln τ: at 0.7 the 95 % interval spans a factor of 4 and
	// more to each side; a piece worse than 0.1, and three times worse than the best, would only
	// bend an average, since its τ is skewed.
	hopeless = 0.7
	vague    = 0.1
	// strangeScatter is how many times the usual scatter of the pieces one may have.
	strangeScatter = 3.0
)

// drop takes pieces out and gives their number.
func (d *decay) drop(out func(i int) bool) int {
	place := make([]int, len(d.pieces))
	var kept []*piece
	for i, p := range d.pieces {
		if place[i] = -1; !out(i) {
			place[i] = len(kept)
			kept = append(kept, p)
		}
	}
	for _, p := range kept {
		if p.before >= 0 {
			if p.before = place[p.before]; p.before < 0 && p.sharp {
				// The knee stands where it was found, but what ran into it is not fitted any more.
				p.sharp, p.kneeU = false, p.fit.tau*kneeReach
			}
		}
	}
	gone := len(d.pieces) - len(kept)
	d.pieces = d.named(kept)
	return gone
}

func (d *decay) measureNoise() noise {
	fits := make([]residuals, len(d.pieces))
	for i, p := range d.pieces {
		r := make([]float64, len(p.use))
		for k, j := range p.use {
			r[k] = (d.v[j] - p.fit.at(d.t[j])) / d.sigma[j]
		}
		fits[i] = residuals{use: p.use, r: r, basis: p.fit.basis}
	}
	return findNoise(slots(d.t), d.sigma, d.points.unknown, fits)
}

// spread lays influences of the points at places use out over all points.
func (d *decay) spread(use []int, influence []float64) []float64 {
	out := make([]float64, d.inputs())
	for i, j := range use {
		out[j] = influence[i]
	}
	return out
}
