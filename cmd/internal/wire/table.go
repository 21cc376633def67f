package wire

import (
	"math"

	"quadrille/calibrate"
	"quadrille/cmd/internal/reading"
)

// tableColour is what the points of a table are drawn in: they have no colour of their own, and this blue stands out
// from the fit's line on a light page and on a dark one.
const tableColour = "#3b7dd8"

// addTable puts the readings of a table into the place of the photo and its trace.
func addTable(d *Document, r *reading.Reading) {
	d.Photo.File = ""
	d.Table = &Table{File: r.File, SHA256: Text(r.Table.SHA256), Readings: unknown, Gaps: unknown}
	if len(r.Records) == 0 {
		return
	}
	rec := r.Records[r.Chosen]
	gaps := 0
	for _, v := range rec.V {
		if math.IsNaN(v) {
			gaps++
		}
	}
	d.Table.Readings, d.Table.Gaps = Number(len(rec.V)-gaps), Number(gaps)
	doubts, kinds := told("", rec.Doubts)
	d.Traces = append(d.Traces, Trace{
		Name: "a", Colour: tableColour, Chosen: true, Coverage: unknown, GroundMark: unknown,
		T: rec.T, V: rec.V, U: rec.Sigma, Effects: effects(rec), Doubts: doubts, DoubtKinds: kinds,
	})
	d.note("", rec.Notes)
}

// tableLimit is the relative accuracy that calibrate gave to a scale of a table.
func tableLimit(given, usual float64) Number {
	if given == 0 {
		given = usual
	}
	return Number(given)
}

// usedForTable fills in what a table shares with a photo.
func usedForTable(u *Used, s calibrate.Setup) {
	u.GainLimit = tableLimit(s.GainLimit, calibrate.DefaultGainLimit)
	u.TimeLimit = tableLimit(s.TimeLimit, calibrate.DefaultTimeLimit)
}
