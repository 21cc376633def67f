package report

// Comparisons that are judged together.

import (
	"fmt"
	"math"
	"strings"

	"quadrille/analysis"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

// A family is comparisons that are judged together: of many, some are more than 2 of their standard uncertainties apart
// by chance alone. Its limit is what the widest of them passes in 1 case of 22 (analysis.AgreeingAll).
type family int

func (f family) limit() float64 { return analysis.AgreeingAll(int(f)) }

// beyond says that something is further apart than chance has it.
func (f family) beyond(agree bool, z wire.Number) bool {
	return !agree && !(math.Abs(float64(z)) <= f.limit())
}

// apart gives those of a list that are more than 2 of their standard uncertainties apart, the widest of them, and
// whether that is beyond the family's limit.
func (f family) apart(l []wire.Comparison) (list []*wire.Comparison, widest *wire.Comparison, beyond bool) {
	for i := range l {
		c := &l[i]
		if c.Agree {
			continue
		}
		list = append(list, c)
		beyond = beyond || f.beyond(false, c.Zeta)
		if widest == nil || math.Abs(float64(c.Zeta)) > math.Abs(float64(widest.Zeta)) {
			widest = c
		}
	}
	return list, widest, beyond
}

// chance explains the family's limit, where, in words, the comparisons stand.
func (f family) chance(where string) string {
	return fmt.Sprintf("of the %d comparisons %s the widest is more than %s of its standard uncertainties apart in 1 case of"+
		" 22 by chance alone", f, where, words.Zeta(f.limit()))
}

// agreementSays says in a sentence whether the results of a document agree.
func agreementSays(l []wire.Comparison, f family) string {
	apart, _, beyond := f.apart(l)
	shorts := make([]string, len(apart))
	for i, c := range apart {
		shorts[i] = c.Short
	}
	all, list := counted(float64(len(l)), "comparison"), strings.Join(shorts, "; ")
	switch {
	case len(l) == 0:
		return ""
	case len(apart) == 0:
		return fmt.Sprintf("The results agree: of %s none is more than twice its uncertainty apart.", all)
	case !beyond:
		return fmt.Sprintf("The results agree: of %s %d %s more than twice the uncertainty apart, no more than chance does among"+
			" so many (%s).", all, len(apart), either(len(apart) == 1, "is", "are"), list)
	}
	return fmt.Sprintf("%d of %s %s: %s.", len(apart), all, either(len(apart) == 1, "does not agree", "do not agree"), list)
}
