package main

import (
	"bytes"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"quadrille/cmd/internal/wire"
)

// A stage that takes its time is named until it ends; a quick one is not.
func TestProgressIsShownOfSlowStagesOnly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := &progress{out: &out, after: patience}
		p.begin("photo")
		time.Sleep(patience / 2)
		p.begin("graticule")
		time.Sleep(2 * patience)
		synctest.Wait()
		if got := out.String(); got != "\rlooking for the graticule …" {
			t.Errorf("a slow stage shows %q", got)
		}
		out.Reset()
		p.begin("trace")
		p.end()
		time.Sleep(2 * patience)
		synctest.Wait()
		if got := out.String(); got != "\r\x1b[K" {
			t.Errorf("after it %q", got)
		}
	})
}

// Of several photos the count and the time that is left are told, by those that are done, and taken away at the end.
func TestTimeLeftIsTold(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		p := newCountdown(&out, "photos", 6, patience)
		time.Sleep(patience + patience/2)
		synctest.Wait()
		if got := out.String(); got != "\rreading the photos: 0 of 6 …\x1b[K" {
			t.Errorf("at first it shows %q", got)
		}
		out.Reset()
		p.count(2)
		time.Sleep(patience)
		synctest.Wait()
		if got := out.String(); got != "\rreading the photos: 2 of 6, about 4 s left …\x1b[K" {
			t.Errorf("then %q", got)
		}
		if !counting.Load() {
			t.Error("the heartbeat goes on")
		}
		out.Reset()
		p.end()
		if got := out.String(); got != "\r\x1b[K" || counting.Load() {
			t.Errorf("after it %q", got)
		}
		quick := newCountdown(&out, "photos", 6, patience)
		out.Reset()
		time.Sleep(patience / 2)
		quick.end()
		new(countdown).end()
		if out.Len() > 0 {
			t.Errorf("what is quick shows %q", out.String())
		}
	})
}

// Every stage of a reading is told of as it begins, and has its words.
func TestStagesHaveWords(t *testing.T) {
	data, err := os.ReadFile("../../testdata/photos/slow-pale.jpg")
	if err != nil {
		t.Fatal(err)
	}
	var seen []string
	settings := wire.Settings{Begin: func(stage string) { seen = append(seen, stage) }}
	settings.Readings, settings.VoltsPerBox, settings.TimePerBox = "t_s,v_V\n0,9\n20,3", "1.5V", "5s"
	new(wire.Reader).Answer(t.Context(), data, settings)
	wire.AnswerTable(t.Context(), []byte("t_s,v_V\n0,9\n20,3"), settings)
	if len(seen) < 9 {
		t.Fatalf("only %q were told of", seen)
	}
	for _, stage := range seen {
		if stageWords[stage] == "" {
			t.Errorf("the stage %s has no words", stage)
		}
	}
}
