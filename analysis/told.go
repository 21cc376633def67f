package analysis

import "fmt"

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

// Left is what a kind leaves unexplained: a share of the height of the trace (rms), or of the points if it is silent about
// many of them.
type Left struct {
	Kind   string
	Share  float64
	Points bool
}

// manySilent is the share of points that a kind says nothing of from which on they, and not the height, tell how much it leaves.
const manySilent = 0.1

// left tells it of the candidates.
func left(all []*candidate) (list []Left) {
	for _, c := range all {
		l := Left{Kind: c.kind.name, Share: c.rms}
		if silent := c.silent / float64(len(c.r)); silent > manySilent {
			l.Share, l.Points = silent, true
		}
		list = append(list, l)
	}
	return list
}

// Says words it.
func (t Told) Says() string {
	switch {
	case t.How == Given:
		return "given"
	case len(t.Left) == 0:
		return "taken for a steady level: no other kind explains more of the scatter of the points"
	case t.How == ForWant:
		return "taken for a level for want of a shape that fits: the nearest is " + kindName(t.Left[0].Kind) + ", but " + t.shares()
	}
	return "taken for " + kindName(t.Left[0].Kind) + ": " + t.shares()
}

func (t Told) shares() string {
	says := ""
	for i, l := range t.Left {
		much := percent(l.Share) + " of the height"
		if l.Points {
			much = fmt.Sprintf("%.0f %% of the points", 100*l.Share)
		}
		switch i {
		case 0:
			says = "it leaves " + much + " unexplained"
		case 1:
			says += "; " + kindName(l.Kind) + " " + much
		default:
			says += ", " + kindName(l.Kind) + " " + much
		}
	}
	return says
}

func kindName(name string) string {
	return map[string]string{SignalDecay: "a decay", SignalSine: "a sine", SignalStates: "two levels with transitions", SignalLevel: "a steady level"}[name]
}
