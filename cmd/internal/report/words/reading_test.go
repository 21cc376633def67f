package words_test

import (
	"strings"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/report/words"
)

// Both examples are those of analysis' tests of settings that were forgotten.
func TestASettingThatWasFoundIsTold(t *testing.T) {
	check := func(r remark.Remark, parts ...string) {
		t.Helper()
		s := words.Of(r)
		for _, p := range parts {
			if !strings.Contains(s, p) {
				t.Errorf("%q is not in %q", p, s)
			}
		}
	}
	check(remark.Of("reading.setting_found", remark.Word("setting", "time per box"), remark.Number("size", 4.01), remark.Number("u_size", 0.01),
		remark.Word("of", "frequency"), remark.Number("given", 50), remark.Number("u_given", 0), remark.Number("limit", 0.05),
		remark.Number("value", 0.005), remark.Number("zeta", -0.087), remark.Number("next", 0.0025), remark.Number("next_zeta", -17)),
		"The time per box", "4.010(10) boxes", "the frequency 50 Hz", "±5 %", "make it 5 ms", "off by 0.1", "the next, 2.5 ms", "off by 17.")
	check(remark.Of("reading.setting_off_row", remark.Word("setting", "volts per box"), remark.Number("size", 6.01), remark.Number("u_size", 0.03),
		remark.Word("of", "level"), remark.Number("given", 9), remark.Number("u_given", 0.05), remark.Number("limit", 0),
		remark.Number("value", 1.5), remark.Number("u_value", 0.011), remark.Number("next", 2), remark.Number("next_zeta", 40)),
		"the level 9.00(5) V", "no step of the usual rows", "make it 1.500(11", "the nearest, 2 V, is off by 40 ")
}

func TestWhichTraceGotTheVoltsIsWorded(t *testing.T) {
	s := words.Of(remark.Of("reading.volts_of_traces", remark.Number("volts_v", 2), remark.Count("to_count", 1), remark.Word("to", "a (#91e5ee)"),
		remark.Word("without", "b (#eeb877), c (#f2f5be)"), remark.Word("next", "b")))
	for _, part := range []string{"2 V a box went to trace a (blue-green);", "b (orange), c (yellow) have no volts per box of their own", "To read b as well"} {
		if !strings.Contains(s, part) {
			t.Errorf("%q is not in %q", part, s)
		}
	}
}
