package analysis

// Pulses: departures to one side of a base state, in the terms of IEEE Std 181 (from memory): base and top state, the
// 50 % reference level, pulse duration between its crossings, amplitude from base to top. A top that is rounded has no
// state: it is then the mean of the pulses' peaks.
//
// What two-level waveforms are called: a square wave dwells at both levels, whatever its duty factor down to
// leastDuty; bits and a single step are of its kind (states.go). Pulses are what lasts shorter beside its pauses, a
// single pulse, and what has a flat base but a rounded top. Several pulses with longer pauses about them are a burst.

import (
	"context"
	"math"

	"quadrille/calibrate/remark"
)

const (
	// leastDuty is the least share of a period in either state of what is called a square wave, and singleDuty that
	// of a single departure beside its longest pause: less is a pulse (TestWhereStatesEndAndPulsesBegin).
	leastDuty, singleDuty = 0.125, 0.35
	// alikeWidths is the ratio of the longest to the shortest pulse up to which they are pulses and no bits
	// (TestKindsAreNotConfused).
	alikeWidths = 1.5
	// burstPause is the pause, in periods within, that makes a burst of pulses (TestABurstIsTold).
	burstPause = 2.5
)

// A pulsed is a record taken as pulses.
type pulsed struct {
	*states
	shape *pulseShape
}

// A pulseShape says how the pulses of a record lie.
type pulseShape struct {
	up      bool // they stand above the base
	rounded bool
	whole   [][2]int // the edges at both ends of each pulse
	first   int      // the first of those that belong together, and how many do
	count   int
	burst   bool
}

// fitPulses finds base, top and edges of pulses.
func fitPulses(_ context.Context, p *points, _ *Settings) (signal, error) {
	if b, ok := findRounded(p); ok {
		if s := b.pulses(p); s != nil {
			s.rounded = true
			return &pulsed{&states{b, p}, s}, nil
		}
	}
	if b, ok := findStates(p); ok {
		if s := b.pulses(p); s != nil {
			return &pulsed{&states{b, p}, s}, nil
		}
	}
	if n := fitNarrow(p); n != nil {
		return n, nil
	}
	return nil, &NotFoundError{"the trace has no base that pulses stand on",
		"Choose another kind of signal, or a part of the record that shows whole pulses and the base between them."}
}

// pulses tells how the pulses lie; nil if no whole one is seen.
func (b *bistate) pulses(p *points) *pulseShape {
	edges := findEdges(p.t, p.v, p.w, b.low, b.high, b.inner)
	if len(edges) < 2 {
		return nil
	}
	// The longest time at each level, the parts at the rims too, tells which of them is the base.
	var longest [2]float64
	from := p.t[0]
	for i := 0; i <= len(edges); i++ {
		to, state := p.t[len(p.t)-1], 0
		if i < len(edges) {
			to = edges[i].mid.t
		}
		if i > 0 && edges[i-1].mid.rising || i == 0 && !edges[0].mid.rising {
			state = 1
		}
		longest[state] = math.Max(longest[state], to-from)
		from = to
	}
	s := &pulseShape{up: longest[0] > longest[1]}
	if len(b.inHigh) == 0 || len(b.inLow) == 0 { // a rounded top
		s.up = len(b.inHigh) == 0
	}
	for i := 1; i < len(edges); i++ {
		if edges[i-1].mid.rising == s.up && edges[i].mid.rising != s.up {
			s.whole = append(s.whole, [2]int{i - 1, i})
		}
	}
	if len(s.whole) == 0 {
		return nil
	}
	s.group(p, edges)
	return s
}

// group finds the pulses that follow each other most evenly, and whether longer pauses stand about them.
func (s *pulseShape) group(p *points, edges []edge) {
	at := func(k int) float64 { return edges[s.whole[k][0]].mid.t }
	least := math.Inf(1)
	for k := 1; k < len(s.whole); k++ {
		least = math.Min(least, at(k)-at(k-1))
	}
	s.count = 1
	for k := 0; k < len(s.whole); {
		end := k
		for end+1 < len(s.whole) && at(end+1)-at(end) < burstPause*least {
			end++
		}
		if end-k+1 > s.count {
			s.first, s.count = k, end-k+1
		}
		k = end + 1
	}
	if s.count < 2 {
		s.first, s.count = 0, len(s.whole)
		return
	}
	last := s.whole[s.first+s.count-1][1]
	before, after := p.t[0], p.t[len(p.t)-1]
	if e := s.whole[s.first][0]; e > 0 {
		before = edges[e-1].mid.t
	}
	if last+1 < len(edges) {
		after = edges[last+1].mid.t
	}
	pause := (burstPause - 1) * least
	s.burst = at(s.first)-before > pause && after-edges[last].mid.t > pause
}

// arePulses says that what dwells at two levels is called pulses and no square wave, and that is no bits.
func (s *pulseShape) arePulses(p *points, edges []edge) bool {
	if s.rounded {
		return true
	}
	short, long := math.Inf(1), 0.0
	for _, w := range s.whole {
		d := edges[w[1]].mid.t - edges[w[0]].mid.t
		short, long = math.Min(short, d), math.Max(long, d)
	}
	pause := math.Max(edges[s.whole[0][0]].mid.t-p.t[0], 0)
	if s.whole[0][0] > 0 {
		pause = 0
	}
	for i := range edges {
		if edges[i].mid.rising == s.up {
			continue
		}
		next := p.t[len(p.t)-1]
		if i+1 < len(edges) {
			next = edges[i+1].mid.t
		}
		pause = math.Max(pause, next-edges[i].mid.t)
	}
	duty := long / (long + pause)
	switch {
	case len(s.whole) == 1 && len(edges) == 2:
		return duty < singleDuty
	case s.burst:
		return true
	}
	return duty < leastDuty && long < alikeWidths*short+2*medianStep(p.t) // a width is told to a column at each end
}

func (s *pulsed) account() *account {
	edges := findEdges(s.points.t, s.points.v, s.points.w, s.low, s.high, s.inner)
	if !s.shape.arePulses(s.points, edges) {
		return nil
	}
	a := s.states.explains()
	if a == nil || s.hidesChanges(s.points) {
		return nil
	}
	if s.shape.rounded {
		s.foretell(edges, a)
	}
	return a
}

func (s *pulsed) findings(ctx context.Context) (*Findings, error) {
	edges := findEdges(s.points.t, s.points.v, s.points.w, s.low, s.high, s.inner)
	f, err := s.states.results(ctx, s.shape)
	if err != nil {
		return nil, err
	}
	f.drive = noDrive
	if s.shape.rounded {
		f.Notes = append(f.Notes, remark.Of(KindRoundedTops))
	}
	switch {
	case s.shape.burst:
		f.Notes = append(f.Notes, remark.Of(KindBurst, remark.Count("pulses", s.shape.count)))
	case len(s.shape.whole) == 1 && len(edges) == 2:
		f.Notes = append(f.Notes, remark.Of(KindSinglePulse))
	}
	return f, nil
}

// levelNames gives the labels of the low level, the high one and their distance.
func (s *pulseShape) levelNames() (low, high, distance string) {
	base, top := "base state", "top state"
	if s.rounded {
		top = "mean of the peaks"
	}
	if s.up {
		return base, top, "amplitude of the pulses, from the base"
	}
	return top, base, "amplitude of the pulses, from the base"
}

// within gives the crossings of the burst.
func (s *pulseShape) within(c []crossing) []crossing {
	from, to := s.whole[s.first][0], s.whole[s.first+s.count-1][1]
	return c[min(from, len(c)):min(to+1, len(c))]
}

// list makes what the edges of pulses allow: their duration, the place of the first, the duration of a burst, rise and
// fall, and the duty factor where they repeat.
func (s *pulseShape) list(edges []edge, spacing float64) []timing {
	if s.whole[len(s.whole)-1][1] >= len(edges) {
		return nil
	}
	var list []timing
	for _, x := range listTimings(edges, spacing) {
		switch {
		case x.quantity == "duty_factor":
			continue
		case x.quantity == "pulse_duration" && (x.label == stateLabels[1]) != s.up:
			continue // the pauses
		case x.quantity == "pulse_duration":
			x.label = "between the 50 % crossings"
		}
		list = append(list, x)
	}
	if len(list) == 0 || list[0].quantity != "pulse_duration" {
		return list
	}
	width := list[0]
	first, last := &edges[s.whole[s.first][0]].mid, &edges[s.whole[s.first+s.count-1][1]].mid
	end := &edges[s.whole[s.first][1]].mid
	if period, periodic := countPeriods(middles(edges), spacing); periodic && !s.burst {
		list = append(list, dutyOf(width, edges, period, "of the pulses"))
	}
	label := "middle of the pulse, from the left rim"
	if s.count > 1 {
		label = "middle of the first pulse, from the left rim"
	}
	list = append(list, timing{quantity: "pulse_position", label: label, unit: "s", value: (first.t + end.t) / 2, count: 1,
		parts: []part{{first, 0.5, 0.5}, {end, 0.5, 0.5}}})
	if s.burst {
		list = append(list, timing{quantity: "burst_duration", label: "from the first 50 % crossing to the last",
			unit: "s", value: last.t - first.t, count: 1,
			parts: []part{{last, 0.5, 1}, {first, 0.5, -1}}})
	}
	return list
}
