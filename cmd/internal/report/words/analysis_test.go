package words_test

import (
	"strings"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/report/words"
)

// Shares are told to two digits, a zero among them.
func TestSharesHaveTwoDigits(t *testing.T) {
	for x, want := range map[float64]string{0.03: "3.0 %", 0.0996: "10 %", 0.031: "3.1 %", 0.2: "20 %", 0.00123: "0.12 %", 1.5: "150 %", 0: "0 %", 0.00995: "1.0 %"} {
		if got := words.Of(remark.Of(analysis.KindPointsScatter, remark.Number("share", x))); !strings.Contains(got, "curve by "+want+" of the height") {
			t.Errorf("%g: %q, want %q", x, got, want)
		}
	}
}

func TestHowAKindWasToldIsWorded(t *testing.T) {
	left := []analysis.Left{{Kind: analysis.SignalDecay, Share: 0.0022}, {Kind: analysis.SignalStates, Share: 0.49, Points: true}, {Kind: analysis.SignalSine, Share: 0.28}}
	const shares = "it leaves 0.22 % of the height unexplained; two levels with transitions 49 % of the points, a sine 28 % of the height"
	for _, c := range []struct {
		told analysis.Told
		want string
	}{
		{analysis.Told{}, "given"},
		{analysis.Told{How: analysis.Recognised, Left: left}, "taken for a decay: " + shares},
		{analysis.Told{How: analysis.ForWant, Left: left}, "taken for a level for want of a shape that fits: the nearest is a decay, but " + shares},
		{analysis.Told{How: analysis.Recognised}, "taken for a steady level: no other kind explains more of the scatter of the points"},
	} {
		if got := words.Told(c.told); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	asked := remark.Of(analysis.KindAnotherKind, remark.Number("left_decay", 0.0022), remark.Number("silent_states", 0.49), remark.Number("left_sine", 0.28), remark.Word("asked", "sine"))
	if got := words.Of(asked); !strings.HasPrefix(got, "You asked for a sine, but by its shape the trace would be taken for a decay: "+shares+".") {
		t.Error(got)
	}
}

// Every kind that Analyse knows has a name, or it would be told as nothing.
func TestEveryKindOfSignalHasAName(t *testing.T) {
	for _, kind := range analysis.Kinds() {
		if got := words.Told(analysis.Told{How: analysis.Recognised, Left: []analysis.Left{{Kind: kind}}}); strings.Contains(got, "for :") {
			t.Errorf("%s: %q", kind, got)
		}
	}
}

func TestCausesTellHowMuchTheyExplain(t *testing.T) {
	for want, r := range map[string]remark.Remark{
		"an input of 1 MΩ in parallel that was left out: 24 % of the gap": remark.Of(analysis.KindCauseInput, remark.Number("share", 0.24)),
		"an input of 1 MΩ in parallel that was left out: all of the gap":  remark.Of(analysis.KindCauseInput, remark.Number("share", 1.7)),
		"a leak of 220 kΩ in parallel with the capacitor":                 remark.Of(analysis.KindCauseLeak, remark.Number("leak_ohm", 220e3)),
		"a capacitor of ±20 %, if C was read off its marking":             remark.Of(analysis.KindCauseCapacitor, remark.Number("limit_share", 0.2)),
		"V∞ misplaced by 0.05 box (75 mV), which bends ln V at the tail":  remark.Of(analysis.KindCauseVInf, remark.Number("off_v", 0.075), remark.Number("off_box", 0.05)),
		"the level that it settles at misplaced by 2 % of the height (180 mV)": remark.Of(analysis.KindCauseLevel, remark.Number("off_v", 0.18),
			remark.Number("off_share", 0.02)),
	} {
		if got := words.Of(r); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if mistake, then := words.WhatIf(remark.Of(analysis.KindIfInput, remark.Number("resistance_ohm", 22e3), remark.Number("share", 0.02153))); mistake !=
		"an input of 1 MΩ lay in parallel with the 22.0 kΩ" || then != "τ would be 2.2 % shorter than R·C" {
		t.Errorf("%q, %q", mistake, then)
	}
}

func TestAComparisonHasATitleALineAndASentence(t *testing.T) {
	c := words.Compared(remark.Of(analysis.KindSeenAndGiven, remark.Number("limit_share", 0.05), remark.Word("of", "level"), remark.Number("seen", 2.54),
		remark.Number("u_seen", 0.044), remark.Number("given", 10), remark.Number("u_given", 0.289), remark.Number("gap", 7.46), remark.Number("u_gap", 0.292),
		remark.Word("unit", "V"), remark.Flag("agree", false)))
	if c.Title != "highest level: on the screen and given" || c.Short != "highest level on the screen and the one given: 7.46(29) V apart, |zeta| = 25.5" ||
		c.Says != "The highest level on the screen, 2.54(4) V, and the one given, 10.00(29) V (taken as good to ±5 %, since nothing was said), do not agree:"+
			" they are 7.46(29) V apart, |zeta| = 25.5." {
		t.Errorf("%+v", c)
	}
}
