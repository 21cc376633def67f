// Read is the one door: a photo's bytes and settings in, a document out; as JSON for pages and for WebAssembly, and as
// values for the command line, which fills the same Settings from its flags.

package wire

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"

	"quadrille/cmd/internal/reading"
)

// DecodeSettings reads settings from a JSON object, whose fields are all text and may all be left out;
// nothing at all is no settings. A field that is not known is an error, because it is most likely a
// known one misspelt. Its error is a *reading.SettingError.
func DecodeSettings(b []byte) (Settings, error) {
	var s Settings
	if len(bytes.TrimSpace(b)) == 0 {
		return s, nil
	}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	err := d.Decode(&s)
	if err == nil {
		if _, after := d.Token(); after != io.EOF {
			err = errors.New("there is more after the settings' object")
		}
	}
	if err != nil {
		return Settings{}, &reading.SettingError{Field: "settings", Reason: "the settings are not right: " + err.Error(),
			Hint: `give one JSON object of texts, such as {"volts_per_box": "1.5V", "time_per_box": "5s"}`}
	}
	return s, nil
}

// Read runs one photo with JSON settings. What went wrong is in the document, which always comes; the status is the one
// of HTTP that goes with it: 200, 400 for a setting, 415 for a file that is no picture or of another kind or size than
// is read, 422 for a picture on which the grid, the trace or the signal was not found, 500 for a fault of the program,
// 503 once ctx is cancelled, which ends the work within 50 ms.
func Read(ctx context.Context, photo, settings []byte) (doc []byte, status int) {
	return new(Reader).Read(ctx, photo, settings)
}

// A Reader is Read for a page on which a person changes settings and drags corners: it keeps what it made of the last
// few photos, and makes anew only what a change asks for. The documents are those of Read but for the times of their
// stages. The zero value is ready, and may be used by several goroutines.
type Reader struct{ desk reading.Desk }

// Read is the function Read.
func (r *Reader) Read(ctx context.Context, photo, settings []byte) (doc []byte, status int) {
	a := r.AnswerJSON(ctx, photo, settings)
	doc, err := Encode(a.Document)
	if err != nil {
		panic("wire: a document cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
	}
	return doc, a.Status()
}

// AnswerJSON is Answer with JSON settings.
func (r *Reader) AnswerJSON(ctx context.Context, photo, settings []byte) *Answer {
	given, err := DecodeSettings(settings)
	if err != nil {
		return answer(&reading.Reading{}, err)
	}
	return r.Answer(ctx, photo, given)
}

// An Answer is a document and the reading that it was made from, for pictures of the photo. The reading is partial
// where a stage failed, and must not be changed.
type Answer struct {
	Document *Document
	Reading  *reading.Reading
}

// Status is that of HTTP which Read gives with the document.
func (a *Answer) Status() int {
	if e := a.Document.Error; e != nil {
		return statuses[e.Kind]
	}
	return 200
}

// Answer is Read for callers in this program.
func (r *Reader) Answer(ctx context.Context, photo []byte, given Settings) *Answer {
	s, err := given.Parse()
	if err != nil {
		return answer(&reading.Reading{File: given.File}, err).titled(given.Title)
	}
	return answer(r.desk.Read(ctx, photo, s)).titled(given.Title)
}

// AnswerTable is Answer for a table of readings in the place of a photo. Nothing is kept.
func AnswerTable(ctx context.Context, table []byte, given Settings) *Answer {
	s, err := given.Parse()
	if err != nil {
		return answer(&reading.Reading{File: given.File}, err).titled(given.Title)
	}
	return answer(reading.FromTable(ctx, table, s)).titled(given.Title)
}

// AnswerFile is Answer for a photo, or AnswerTable for what is no picture by its first bytes.
func (r *Reader) AnswerFile(ctx context.Context, file []byte, given Settings) *Answer {
	if IsPhoto(file) {
		return r.Answer(ctx, file, given)
	}
	return AnswerTable(ctx, file, given)
}

// IsPhoto tells a picture from text and from a workbook by its first bytes: JPEG, PNG, WebP, and the box of HEIC (those
// of vision/photo, which decides what it is and says what is not read).
func IsPhoto(data []byte) bool {
	for _, first := range []string{"\xff\xd8\xff", "\x89PNG", "RIFF"} {
		if bytes.HasPrefix(data, []byte(first)) {
			return true
		}
	}
	return len(data) > 12 && string(data[4:8]) == "ftyp"
}

func answer(r *reading.Reading, err error) *Answer {
	d := From(r)
	d.Error = ErrorOf(err)
	return &Answer{d, r}
}

func (a *Answer) titled(title string) *Answer {
	a.Document.Title = Text(title)
	return a
}

// statuses are numbers of RFC 9110; net/http has names for them, and would make WebAssembly twice the size.
var statuses = map[string]int{
	"setting": 400, "file": 415, "graticule": 422, "trace": 422, "analysis": 422, "program": 500, "interrupted": 503,
}
