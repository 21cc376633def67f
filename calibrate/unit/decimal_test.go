package unit

import (
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Digits are rounded as fractions of whole numbers are, by the standard library's exact arithmetic.
func TestDecimalIsExact(t *testing.T) {
	power := func(n int) *big.Rat {
		r, _ := new(big.Rat).SetString("1e" + strconv.Itoa(n))
		return r
	}
	exact := func(x float64, shift, place int) string {
		r, _ := new(big.Rat).SetString(strconv.FormatFloat(x, 'e', -1, 64))
		s := r.Mul(r, power(-max(shift, place))).FloatString(max(shift-place, 0))
		if strings.Trim(s, "-0.") == "" {
			return strings.TrimPrefix(s, "-")
		}
		return s + strings.Repeat("0", max(place-shift, 0))
	}
	same := func(t rapid.TB, x float64, shift, place int) {
		if got, want := decimal(x, shift, place), exact(x, shift, place); got != want {
			t.Fatalf("decimal(%v, %d, %d) = %q, want %q", x, shift, place, got, want)
		}
	}
	for _, x := range []float64{0, 0.5, -0.5, 0.05, 0.049999, 9.5, 99.5, -99.95, 1, 10, 15, 25, 1e300, 5e-324, 0.995, 4.5, 45, 449} {
		for shift := -4; shift <= 4; shift++ {
			for place := -4; place <= 4; place++ {
				same(t, x, shift, place)
			}
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		x := rapid.Float64Range(-1e9, 1e9).Draw(r, "x")
		if rapid.Bool().Draw(r, "few digits") { // where halves are met
			x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'e', rapid.IntRange(0, 4).Draw(r, "digits"), 64), 64)
		}
		same(r, x, rapid.IntRange(-12, 12).Draw(r, "shift"), rapid.IntRange(-12, 12).Draw(r, "place"))
	})
}
