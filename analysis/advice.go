package analysis

import "quadrille/calibrate/remark"

// An advice is what to tell a reader beside the numbers: what is worth knowing, and what to doubt.
type advice struct{ notes, doubts []remark.Remark }

func (a *advice) note(r remark.Remark) { a.notes = append(a.notes, r) }

func (a *advice) doubt(r remark.Remark) { a.doubts = append(a.doubts, r) }

// tell is a doubt if sure, else a note.
func (a *advice) tell(sure bool, r remark.Remark) {
	if sure {
		a.doubt(r)
	} else {
		a.note(r)
	}
}

func (a *advice) add(b advice) {
	a.notes, a.doubts = append(a.notes, b.notes...), append(a.doubts, b.doubts...)
}
