// What turned boxes into volts and seconds, in words: those of the one trace, or those of all and then of each.

package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"quadrille/cmd/internal/wire"
)

// A setting is one line of what turned boxes into volts and seconds; own says that it is one of several traces' own.
type setting struct {
	Name, Value string
	own         bool
}

// settings gives those that hold for all, and then, where there are several traces, those of each.
func settings(d *wire.Document) []setting {
	if !several(d) {
		return settingsOf(d, d.Settings)
	}
	all := d.Settings
	all.VoltsPerBox, all.GroundBox, all.Probe = wire.Number(math.NaN()), wire.Number(math.NaN()), 1
	all.GroundFrom = ""
	out := settingsOf(d, all)
	for _, t := range chosen(d) {
		out = append(out, setting{"trace " + t.Name, traceEntry(t), true})
	}
	return out
}

// settingsSay has all of them in a line.
func settingsSay(d *wire.Document) string {
	var parts []string
	for _, s := range settings(d) {
		if !s.own {
			parts = append(parts, s.Name+" "+s.Value)
		}
	}
	if several(d) {
		for _, t := range chosen(d) {
			parts = append(parts, "trace "+t.Name+" "+strings.Join(scaledWith(t), ", "))
		}
	}
	return strings.Join(parts, "; ")
}

// traceEntry is what one of several traces was scaled with, and what it was taken for.
func traceEntry(t *wire.Trace) string {
	parts := append([]string{t.Colour}, scaledWith(t)...)
	if t.Signal != "" {
		parts = append(parts, signal(t.Signal, t.SignalFrom, t.SignalTold))
	}
	return strings.Join(parts, "; ")
}

// scaledWith lists what one of several traces was scaled with.
func scaledWith(t *wire.Trace) (parts []string) {
	if t.Settings == nil {
		return nil
	}
	own := *t.Settings
	own.TimePerBox = wire.Number(math.NaN())
	for _, e := range settingsOf(&wire.Document{}, own) {
		parts = append(parts, e.Name+" "+e.Value)
	}
	return parts
}

func settingsOf(d *wire.Document, s wire.Used) []setting {
	var out []setting
	add := func(name, value string) { out = append(out, setting{Name: name, Value: value}) }
	if s.VoltsPerBox.Known() {
		add("volts per box", limited(exact(s.VoltsPerBox, "V"), s.GainLimit))
	}
	if s.TimePerBox.Known() {
		add("time per box", limited(exact(s.TimePerBox, "s"), s.TimeLimit))
	}
	if d.Table != nil {
		add("volts accuracy", strings.TrimSpace(limited("", s.GainLimit)))
		add("time accuracy", strings.TrimSpace(limited("", s.TimeLimit)))
	}
	if s.GroundBox.Known() {
		place := fromCentre(float64(s.GroundBox))
		if s.GroundFrom != "" {
			place += " (" + string(s.GroundFrom) + ")"
		}
		add("ground line", place)
	} else if s.GroundFrom != "" {
		add("ground line", "not known: volts are counted from "+string(s.GroundFrom))
	}
	if s.Probe.Known() && s.Probe != 1 {
		add("probe", "×"+short(float64(s.Probe)))
	}
	return out
}

// fromCentre says where a height in boxes lies.
func fromCentre(box float64) string {
	v := math.Round(100*box) / 100 // a ground line is not known to better than a hundredth of a box
	if v == 0 {
		return "on the centre line"
	}
	boxes := "boxes"
	if math.Abs(v) == 1 {
		boxes = "box"
	}
	return fmt.Sprintf("%s %s %s the centre", short(math.Abs(v)), boxes, either(v > 0, "above", "below"))
}

// limited adds the accuracy of a scale, if it is known.
func limited(value string, limit wire.Number) string {
	if !limit.Known() {
		return value
	}
	if limit >= 1e-3 {
		rounded, _ := strconv.ParseFloat(strconv.FormatFloat(100*float64(limit), 'g', 3, 64), 64) // of a number: it reads back
		return value + " ± " + short(rounded) + " %"
	}
	return value + " ± " + short(1e6*float64(limit)) + " ppm"
}
