package wire_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"reflect"
	"strings"
	"testing"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

func ExampleRead() {
	doc, status := wire.Read(context.Background(), []byte("a letter, not a photo"), []byte(`{"file": "letter.txt", "volts_per_box": "1.5 V"}`))
	d, err := wire.Decode(doc)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(status, d.Photo.File, d.Error.Kind)
	// Output: 415 letter.txt file
}

// The status tells who can act, and the document says how.
func TestReadSaysWhatWentWrong(t *testing.T) {
	var empty bytes.Buffer
	if err := png.Encode(&empty, image.NewGray(image.Rect(0, 0, 300, 200))); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, settings string
		photo          []byte
		status         int
		kind, field    string
	}{
		{"no photo", ``, nil, 415, "file", ""},
		{"a black picture", `{}`, empty.Bytes(), 422, "graticule", ""},
		{"half a picture", `{}`, empty.Bytes()[:60], 415, "file", ""},
		{"not JSON", `volts: 1`, empty.Bytes(), 400, "setting", "settings"},
		{"a list", `[]`, empty.Bytes(), 400, "setting", "settings"},
		{"a number for a text", `{"probe": 10}`, empty.Bytes(), 400, "setting", "settings"},
		{"two objects", `{} {}`, empty.Bytes(), 400, "setting", "settings"},
		{"a misspelt field", `{"volt_per_box": "1V"}`, empty.Bytes(), 400, "setting", "settings"},
		{"a bad unit", `{"volts_per_box": "1 apple"}`, empty.Bytes(), 400, "setting", "volts-per-box"},
		{"bad corners", `{"corners": "1,1 2,2"}`, empty.Bytes(), 400, "setting", "corners"},
	} {
		doc, status := wire.Read(t.Context(), c.photo, []byte(c.settings))
		d, err := wire.Decode(doc)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if status != c.status || d.Error == nil || d.Error.Kind != c.kind || string(d.Error.Field) != c.field {
			t.Errorf("%s: status %d, error %+v; want %d, kind %s, field %q", c.name, status, d.Error, c.status, c.kind, c.field)
		} else if d.Error.Hint == "" || d.Error.Reason == "" {
			t.Errorf("%s: no hint or no reason in %+v", c.name, d.Error)
		}
	}
}

// Whatever the bytes, settings are refused with a hint or pass unchanged through JSON; and what is
// typed into them is refused with the setting's name or understood. Nothing panics.
func FuzzSettings(f *testing.F) {
	f.Add([]byte(`{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom", "probe": "x10", "signal": "decay"}`))
	f.Add([]byte(`{"corners": "1,2 3,4 5,6 7,8", "boxes": "10x8", "trace": "#e4c43c", "from": "-2", "to": "3 s"}`))
	f.Add([]byte(`{"settles_at": "0.5V", "at": "9V,7V,5V", "resistance": "21.9k±0.3%", "capacitance": "470u±20%"}`))
	f.Add([]byte(`{"input_resistance": "1M", "source_resistance": "50", "volts_accuracy": "3%", "time_accuracy": "100ppm"}`))
	f.Add([]byte(`{"probe": "-1", "ground": "NaN", "boxes": "99999999999x1", "corners": "1e400,0 1,1 2,2 3,3"}`))
	f.Add([]byte(`{"file": "\u202e.jpg"}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := wire.DecodeSettings(b)
		var refused *reading.SettingError
		if err != nil {
			if !errors.As(err, &refused) || refused.Hint == "" {
				t.Fatalf("%q: error %v", b, err)
			}
			return
		}
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := wire.DecodeSettings(text)
		if err != nil || !reflect.DeepEqual(again, s) {
			t.Fatalf("%q: %+v became %+v, %v", b, s, again, err)
		}
		if _, err := s.Parse(); err != nil {
			if !errors.As(err, &refused) || refused.Hint == "" || !strings.Contains(err.Error(), refused.Field) {
				t.Fatalf("%q: error %v without the setting's name and a hint", b, err)
			}
		}
	})
}

// Pages and WebAssembly give several traces and readings by hand in JSON; each result says whose it is.
func TestReadTakesSeveralTracesAndReadings(t *testing.T) {
	photo, err := os.ReadFile("../../../testdata/photos/pair-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	doc, status := wire.Read(t.Context(), photo, []byte(`{"time_per_box": "5ms", "signal": "sine", "traces": [{"trace": "a", "volts_per_box": "2V"}, {"trace": "b", "volts_per_box": "1V"}],
		"readings": "t_ms,v_V\n0,0\n5,3\n10,0\n15,-3\n20,0\n25,3\n30,0\n35,-3\n", "u_volts": "0.1V", "readings_file": "hand.csv"}`))
	d, err := wire.Decode(doc)
	if err != nil || status != 200 {
		t.Fatalf("status %d, %v, %+v", status, err, d.Error)
	}
	of := map[string]int{}
	for _, r := range d.Results {
		of[r.Trace]++
	}
	if of["a"] == 0 || of["b"] == 0 || of["a, b"] != 3 || of[wire.ReadingsName] == 0 || len(of) != 4 {
		t.Errorf("results by trace: %v", of)
	}
	for _, tr := range d.Traces {
		if !tr.Chosen || tr.Settings == nil || tr.Signal != "sine" || len(tr.V) == 0 {
			t.Errorf("trace %s: chosen %v, settings %+v", tr.Name, tr.Chosen, tr.Settings)
		}
	}
	for _, c := range d.Comparisons {
		for _, i := range c.Results {
			if i < 0 || i >= len(d.Results) {
				t.Errorf("%s compares result %d of %d", c.Title, i, len(d.Results))
			}
		}
	}
	if d.Readings == nil || d.Readings.File != "hand.csv" || len(d.Readings.Rows) != 8 {
		t.Fatalf("readings %+v", d.Readings)
	}
	for _, r := range d.Readings.Rows {
		if r.Odd || r.T > 0 && !(r.Zeta < 3 && r.Zeta > -3) {
			t.Errorf("reading at %g s: zeta %g, odd %v", float64(r.T), float64(r.Zeta), r.Odd)
		}
	}
	if doc, status := wire.Read(t.Context(), photo, []byte(`{"traces": [{"volts_per_box": "2V"}, {"trace": "b"}]}`)); status != 400 || !bytes.Contains(doc, []byte("has no name")) {
		t.Errorf("a trace without a name: status %d", status)
	}
}
