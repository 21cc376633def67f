package analysis

import "quadrille/calibrate/remark"

// How a kind of signal was told.
type How int

const (
	Given      How = iota // by the settings
	Recognised            // its shape explains the trace
	ForWant               // no kind's shape does, and what needs none was measured
)

// Told says how the kind of a signal was told.
type Told struct {
	How How
	// Left is what the kind taken leaves unexplained, or of ForWant the nearest one, and then what the others would. It is
	// empty where the kind was given, and of a level beside which nothing explains more.
	Left []Left
}

// Left is what a kind leaves unexplained: a share of the height of the trace (rms), or of the points if it is silent
// about many of them.
type Left struct {
	Kind   string
	Share  float64
	Points bool
}

// manySilent is the share of points that a kind says nothing of from which on they, and not the height, tell how much
// it leaves (TestWhatAKindLeavesOpen).
const manySilent = 0.1

// leftBy tells it of the candidates.
func leftBy(all []*candidate) (list []Left) {
	for _, c := range all {
		l := Left{Kind: c.kind.name, Share: c.rms}
		if silent := c.silent / float64(len(c.r)); silent > manySilent {
			l.Share, l.Points = silent, true
		}
		list = append(list, l)
	}
	return list
}

// values gives what each kind leaves as values of a remark, in order: left_KIND of the height, silent_KIND of the
// points.
func (t Told) values() (list []remark.Value) {
	for _, l := range t.Left {
		name := "left_" + l.Kind
		if l.Points {
			name = "silent_" + l.Kind
		}
		list = append(list, remark.Number(name, l.Share))
	}
	return list
}
