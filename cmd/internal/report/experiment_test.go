package report_test

import (
	"slices"
	"strings"
	"testing"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// The page of an experiment has each reading whole and their comparison; no id is there twice, and no text is markup.
func TestAnExperimentHasAllOfItsReadings(t *testing.T) {
	of := func(title string) []string {
		a, b := fixed(t), fixed(t)
		a.Title, b.Title = "At 3 V", wire.Text(title)
		c := comparisonOf(t, func(*wire.Document) {})
		e := report.Experiment{Title: "Mist timer " + title, About: []string{title, "10 November"}, Compared: []*compare.Comparison{c},
			Readings: []report.ExperimentReading{{Document: a}, {Document: b}}}
		page := e.Page(report.Print{})
		balanced(t, string(page))
		for _, s := range []string{"<h1>Mist timer", ">At 3 V</h2>", "10 November", `id="h-r1-results"`, `id="h-r2-results"`, `id="h-c1-sources"`} {
			if !strings.Contains(string(page), s) {
				t.Errorf("no %s on the page", s)
			}
		}
		if pages, _ := sheets(t, e.PDF(report.Print{Letter: true})); pages < 5 || pages > 12 {
			t.Errorf("%d sheets", pages)
		}
		var ids []string
		for _, s := range strings.Split(string(page), ` id="`)[1:] {
			ids = append(ids, s[:strings.Index(s, `"`)])
		}
		if all := len(ids); len(slices.Compact(slices.Sorted(slices.Values(ids)))) != all {
			t.Error("an id is there twice")
		}
		return skeleton(t, page)
	}
	plain := of("at 6 V")
	for _, title := range hostile {
		if !slices.Equal(of(title+"."), plain) {
			t.Errorf("%q changes the page", title)
		}
	}
}
