// Read is the one door for pages and for WebAssembly: bytes and JSON in, JSON out. The command line
// fills the same Settings from its flags and makes the same document.

package wire

import (
	"bytes"
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

// Read runs one photo with JSON settings. What went wrong is in the document, which always comes; the
// status is the one of HTTP that goes with it: 200, 400 for a setting, 415 for a file that is no
// picture or of another kind or size than is read, 422 for a picture on which the grid, the trace or
// the signal was not found, 500 for a fault of the program.
func Read(photo, settings []byte) (doc []byte, status int) {
	d := read(photo, settings)
	status = 200
	if d.Error != nil {
		status = statuses[d.Error.Kind]
	}
	doc, err := Encode(d)
	if err != nil {
		panic("wire: a document cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
	}
	return doc, status
}

// statuses are numbers of RFC 9110; net/http has names for them, and would make WebAssembly twice the size.
var statuses = map[string]int{
	"setting": 400, "file": 415, "graticule": 422, "trace": 422, "analysis": 422, "program": 500,
}

func read(photo, settings []byte) *Document {
	given, err := DecodeSettings(settings)
	var s *reading.Settings
	if err == nil {
		s, err = given.Parse()
	}
	if err != nil {
		d := From(&reading.Reading{File: given.File})
		d.Error = ErrorOf(err)
		return d
	}
	r, err := reading.Read(photo, s)
	d := From(r)
	d.Error = ErrorOf(err)
	return d
}
