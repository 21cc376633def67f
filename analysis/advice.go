package analysis

import (
	"fmt"

	"quadrille/calibrate/remark"
)

// An advice is what to tell a reader beside the numbers: what is worth knowing, and what to doubt.
type advice struct{ notes, doubts []remark.Remark }

func (a *advice) note(format string, x ...any) {
	a.notes = append(a.notes, remark.Text(fmt.Sprintf(format, x...)))
}

func (a *advice) doubt(format string, x ...any) {
	a.doubts = append(a.doubts, remark.Text(fmt.Sprintf(format, x...)))
}

// tell is a doubt if sure, else a note.
func (a *advice) tell(sure bool, format string, x ...any) {
	if sure {
		a.doubt(format, x...)
	} else {
		a.note(format, x...)
	}
}

func (a *advice) add(b advice) {
	a.notes, a.doubts = append(a.notes, b.notes...), append(a.doubts, b.doubts...)
}
