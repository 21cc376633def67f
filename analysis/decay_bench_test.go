package analysis

import "testing"

func BenchmarkFitDecay(b *testing.B) {
	for _, c := range []struct {
		name string
		s    specimen
	}{
		{"kind=slow/n=1000", specimen{n: 1000, span: 50, sigma: 0.02, rho: 0.8, v: slowDischarge(9, 0, 4, 8)}},
		{"kind=square/n=1000", specimen{n: 1000, span: 10e-3, sigma: 0.02, rho: 0.8, v: squareDriven(5, 1e-3, 0.2e-3, 0.3e-3)}},
	} {
		rec := c.s.record(1)
		for range 13 {
			with(rec, "graticule fit", false, func(t, v float64) (float64, float64) { return 1e-3 * c.s.span, 0.01 })
		}
		b.Run(c.name, func(b *testing.B) {
			for range b.N {
				if _, err := findDecays(b.Context(), rec, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFindStretches(b *testing.B) {
	s := specimen{n: 1000, span: 10e-3, sigma: 0.02, v: squareDriven(5, 1e-3, 0.2e-3, 0.3e-3)}
	rec := s.record(1)
	for range b.N {
		findStretches(rec.T, rec.V, rec.Sigma)
	}
}
