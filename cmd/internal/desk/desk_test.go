package desk

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"quadrille/cmd/internal/live"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/synth"
)

var testPage = fstest.MapFS{
	"index.html":           {Data: []byte("<!DOCTYPE html><title>a page</title>")},
	"app.js":               {Data: []byte("export {};")},
	"manifest.webmanifest": {Data: []byte("{}")},
	"core.wasm.gz":         {Data: []byte{0x1f, 0x8b}},
	"parts/a.css":          {Data: []byte("p {}")},
}

var testSamples = fstest.MapFS{
	"samples.json": {Data: []byte("[]")},
	"a.jpg":        {Data: []byte{0xff, 0xd8}},
}

const host = "127.0.0.1:4380"

func testServer(key string) *server {
	return newServer(testPage, Options{Hosts: []string{host, "localhost:4380", "192.168.7.7:4380"}, Key: key, Samples: testSamples})
}

// ask sends a request without a body, with header fields as "Name: value".
func ask(s *server, method, target string, fields ...string) *httptest.ResponseRecorder {
	return do(s, method, target, nil, fields...)
}

func do(s *server, method, target string, body io.Reader, fields ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, target, body)
	r.Host = host
	for _, f := range fields {
		name, value, _ := strings.Cut(f, ": ")
		if name == "Host" {
			r.Host = value
		} else {
			r.Header.Set(name, value)
		}
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

// smallPhoto is a decay on a photo of 0.24 million pixels.
var smallPhoto = sync.OnceValue(func() []byte {
	b, _, err := synth.Scene{Camera: synth.Camera{Width: 560, Height: 420, Blur: 0.6}}.JPEG()
	if err != nil {
		panic(err)
	}
	return b
})

const mist = `{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom"}`

// formOf makes a form of names and values in turn; the photo is a file. It gives the Content-Type too.
func formOf(parts ...string) (*bytes.Buffer, string) {
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		var w io.Writer
		if parts[i] == "photo" {
			w, _ = m.CreateFormFile("photo", "p.jpg") // a buffer takes everything
		} else {
			w, _ = m.CreateFormField(parts[i])
		}
		_, _ = io.WriteString(w, parts[i+1])
	}
	_ = m.Close()
	return &b, m.FormDataContentType()
}

func post(s *server, target string, parts ...string) *httptest.ResponseRecorder {
	body, kind := formOf(parts...)
	return do(s, "POST", target, body, "Content-Type: "+kind, "Origin: http://"+host)
}

func answerOf(t *testing.T, body []byte) (live.Answer, *wire.Document) {
	t.Helper()
	var a live.Answer
	if err := json.Unmarshal(body, &a); err != nil {
		t.Fatalf("%v in %.200q", err, body)
	}
	d, err := wire.Decode(a.Document)
	if err != nil {
		t.Fatal(err)
	}
	return a, d
}

func TestFilesAndNothingElseAreServed(t *testing.T) {
	s := testServer("")
	for _, c := range []struct {
		path, kind string // "" where there is nothing
	}{
		{"/", "text/html; charset=utf-8"},
		{"/index.html", "text/html; charset=utf-8"},
		{"/app.js", "text/javascript; charset=utf-8"},
		{"/manifest.webmanifest", "application/manifest+json"},
		{"/core.wasm.gz", "application/gzip"},
		{"/parts/a.css", "text/css; charset=utf-8"},
		{"/samples", "application/json"},
		{"/samples/samples.json", "application/json"},
		{"/samples/a.jpg", "image/jpeg"},
		{"/parts", ""}, {"/parts/", ""}, {"/samples/", ""}, {"/samples/b.jpg", ""}, {"//", ""}, {"/.", ""},
		{"/nothing", ""}, {"/../app.js", ""}, {"/parts/../app.js", ""}, {"/samples/../app.js", ""},
		{"/%2e%2e/app.js", ""}, {"/parts/..%2fapp.js", ""}, {"/..%5capp.js", ""}, {"/samples/..%2f..%2fdesk.go", ""},
		{"/page/index.html", ""}, {"/app.js%00", ""}, {"//etc/passwd", ""},
	} {
		for _, method := range []string{"GET", "HEAD"} {
			w := ask(s, method, c.path)
			status, kind := http.StatusOK, c.kind
			if c.kind == "" {
				status, kind = http.StatusNotFound, "text/plain; charset=utf-8"
			}
			if w.Code != status || w.Header().Get("Content-Type") != kind {
				t.Errorf("%s %s: %d %s, want %d %s", method, c.path, w.Code, w.Header().Get("Content-Type"), status, kind)
			}
			if empty := w.Body.Len() == 0; status == http.StatusOK && empty != (method == "HEAD") {
				t.Errorf("%s %s has %d bytes", method, c.path, w.Body.Len())
			}
			if w.Header().Get("Content-Security-Policy") != policy || w.Header().Get("X-Content-Type-Options") != "nosniff" ||
				w.Header().Get("Referrer-Policy") != "no-referrer" || w.Header().Get("Cache-Control") != "no-store" {
				t.Errorf("%s %s has the header %v", method, c.path, w.Header())
			}
		}
	}
}

func TestOtherMethodsAreRefused(t *testing.T) {
	s := testServer("")
	for _, c := range []struct{ method, path, allow string }{
		{"POST", "/", "GET, HEAD"}, {"PUT", "/app.js", "GET, HEAD"}, {"DELETE", "/samples/a.jpg", "GET, HEAD"},
		{"OPTIONS", "/", "GET, HEAD"}, {"TRACE", "/", "GET, HEAD"}, {"POST", "/nothing", "GET, HEAD"},
		{"GET", "/answer", "POST"}, {"HEAD", "/answer", "POST"}, {"OPTIONS", "/answer", "POST"}, {"PUT", "/file", "POST"},
	} {
		if w := ask(s, c.method, c.path); w.Code != http.StatusMethodNotAllowed || w.Header().Get("Allow") != c.allow {
			t.Errorf("%s %s: %d, allows %q", c.method, c.path, w.Code, w.Header().Get("Allow"))
		}
	}
}

// The answer is that of package live, with its status.
func TestAPhotoIsAnswered(t *testing.T) {
	s := testServer("")
	w := post(s, "/answer", "photo", string(smallPhoto()), "settings", mist, "have", "")
	a, d := answerOf(t, w.Body.Bytes())
	if w.Code != http.StatusOK || a.Status != 200 || d.Error != nil || len(d.Results) == 0 || len(a.Pictures) == 0 || a.Page == "" {
		t.Fatalf("%d, status %d, error %+v, %d results, %d pictures", w.Code, a.Status, d.Error, len(d.Results), len(a.Pictures))
	}
	again, _ := answerOf(t, post(s, "/answer", "photo", string(smallPhoto()), "settings", mist, "have", a.Grid).Body.Bytes())
	if again.Grid != a.Grid || len(again.Pictures) != 0 {
		t.Errorf("with the grid of before: grid %q for %q, %d pictures", again.Grid, a.Grid, len(again.Pictures))
	}
	for _, c := range []struct {
		name, photo, settings string
		status                int
		kind                  string
	}{
		{"no picture", "a text", mist, http.StatusUnsupportedMediaType, "file"},
		{"no bytes", "", mist, http.StatusUnsupportedMediaType, "file"},
		{"a setting that nobody knows", string(smallPhoto()), `{"volts": "1V"}`, http.StatusBadRequest, "setting"},
		{"settings that are no JSON", string(smallPhoto()), `{`, http.StatusBadRequest, "setting"},
		{"100 megapixels in the header", string(hugeHeader(t)), mist, http.StatusUnsupportedMediaType, "file"},
	} {
		w := post(s, "/answer", "photo", c.photo, "settings", c.settings, "have", "")
		a, d := answerOf(t, w.Body.Bytes())
		if w.Code != c.status || a.Status != c.status || d.Error == nil || d.Error.Kind != c.kind || !strings.Contains(a.Page, "What to do:") {
			t.Errorf("%s: %d, status %d, want %d; error %+v", c.name, w.Code, a.Status, c.status, d.Error)
		}
	}
}

// hugeHeader claims 12,500 × 8,000 pixels: the frame header of ITU-T T.81, B.2.2, is changed.
func hugeHeader(t *testing.T) []byte {
	b := bytes.Clone(smallPhoto())
	i := bytes.Index(b, []byte{0xff, 0xc0})
	if i < 0 {
		t.Fatal("no frame header")
	}
	copy(b[i+5:], []byte{8000 >> 8, 8000 & 0xff, 12500 >> 8, 12500 & 0xff})
	return b
}

func TestWhatIsKeptComesByName(t *testing.T) {
	s := testServer("")
	w := post(s, "/file", "photo", string(smallPhoto()), "settings", mist, "name", "result.zip")
	z, err := zip.NewReader(bytes.NewReader(w.Body.Bytes()), int64(w.Body.Len()))
	if w.Code != http.StatusOK || err != nil || w.Header().Get("Content-Type") != "application/zip" ||
		w.Header().Get("Content-Disposition") != `attachment; filename="result.zip"` {
		t.Fatalf("%d, %v, %v", w.Code, err, w.Header())
	}
	for _, name := range []string{"page.pdf", "points.csv", "result.json"} {
		packed, err := unpack(z, name)
		if err != nil {
			t.Errorf("in the zip: %v", err)
		}
		one := post(s, "/file", "photo", string(smallPhoto()), "settings", mist, "name", name)
		if one.Code != http.StatusOK || name == "points.csv" && !bytes.Equal(packed, one.Body.Bytes()) {
			t.Errorf("%s: %d, or not what the zip has", name, one.Code)
		}
	}
	for _, c := range []struct {
		photo, name string
		status      int
	}{
		{string(smallPhoto()), "nothing.csv", http.StatusNotFound},
		{string(smallPhoto()), "../result.json", http.StatusNotFound},
		{"a text", "result.zip", http.StatusUnsupportedMediaType},
	} {
		w := post(s, "/file", "photo", c.photo, "settings", mist, "name", c.name)
		if w.Code != c.status || strings.Count(w.Body.String(), "\n") != 2 || w.Header().Get("Content-Type") != "text/plain; charset=utf-8" {
			t.Errorf("%s: %d, want %d, %q", c.name, w.Code, c.status, w.Body)
		}
	}
}

func unpack(z *zip.Reader, name string) ([]byte, error) {
	f, err := z.Open(name)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(f)
}

func TestBodiesOfTheWrongKind(t *testing.T) {
	s := testServer("")
	whole, kind := formOf("photo", string(smallPhoto()), "settings", mist)
	cut := whole.Bytes()[:whole.Len()/2]
	large := func(n int) string { return strings.Repeat("x", n) }
	huge, hugeKind := formOf("photo", large(maxBody))
	for _, c := range []struct {
		name, kind string
		body       io.Reader
		status     int
	}{
		{"no body", kind, strings.NewReader(""), http.StatusBadRequest},
		{"no form", "application/json", strings.NewReader("{}"), http.StatusBadRequest},
		{"no kind", "", whole, http.StatusBadRequest},
		{"no boundary", "multipart/form-data", whole, http.StatusBadRequest},
		{"another boundary", "multipart/form-data; boundary=other", bytes.NewReader(whole.Bytes()), http.StatusBadRequest},
		{"a form that breaks off", kind, bytes.NewReader(cut), http.StatusBadRequest},
		{"too large, as it says", hugeKind, bytes.NewReader(huge.Bytes()), http.StatusRequestEntityTooLarge},
		{"too large, as it turns out", hugeKind, io.MultiReader(huge), http.StatusRequestEntityTooLarge},
	} {
		w := do(s, "POST", "/answer", c.body, "Content-Type: "+c.kind)
		if _, d := answerOf(t, w.Body.Bytes()); w.Code != c.status || d.Error == nil || d.Error.Hint == "" {
			t.Errorf("%s: %d, want %d, %+v", c.name, w.Code, c.status, d.Error)
		}
	}
	for name, parts := range map[string][]string{
		"no photo":           {"settings", mist},
		"two photos":         {"photo", "a", "photo", "b"},
		"another part":       {"photo", "a", "more", "b"},
		"have is too long":   {"photo", "a", "have", large(maxShort + 1)},
		"settings are":       {"photo", "a", "settings", large(maxSettings + 1)},
		"the name is too":    {"photo", "a", "name", large(maxShort + 1)},
		"a part has no name": {"photo", "a", "", "b"},
	} {
		if w := post(s, "/answer", parts...); w.Code != http.StatusBadRequest {
			t.Errorf("%s: %d", name, w.Code)
		}
	}
	if w := post(s, "/answer", "photo", "a", "have", large(maxShort)); w.Code != http.StatusUnsupportedMediaType {
		t.Errorf("the longest grid: %d", w.Code)
	}
	soon(t, "nobody is inside", s.queue.empty)
}

// Nothing comes to the disk: the folder for temporary files is one that nothing can be written to, because it is not
// there.
func TestNothingIsWrittenToDisk(t *testing.T) {
	dir := t.TempDir() + "/gone"
	t.Setenv("TMPDIR", dir)
	t.Setenv("TMP", dir)
	if _, err := os.CreateTemp("", ""); err == nil {
		t.Fatal("the test does not test")
	}
	photo := append(bytes.Clone(smallPhoto()), make([]byte, 40<<20)...) // net/http keeps 32 MB of a form in memory
	if w := post(testServer(""), "/answer", "photo", string(photo), "settings", mist); w.Code != http.StatusOK {
		t.Errorf("%d: %.300s", w.Code, w.Body)
	}
}

// A fault of the program ends one request, and says so.
func TestAFaultIsAnswered(t *testing.T) {
	s := testServer("")
	s.room.Store(nil)
	w := post(s, "/answer", "photo", string(smallPhoto()), "settings", mist)
	if _, d := answerOf(t, w.Body.Bytes()); w.Code != http.StatusInternalServerError || d.Error.Kind != "program" {
		t.Errorf("%d, %+v", w.Code, d.Error)
	}
	soon(t, "its turn has ended", s.queue.empty)
}

func TestPhotosAreForgotten(t *testing.T) {
	s := testServer("")
	post(s, "/answer", "photo", string(smallPhoto()), "settings", mist)
	before := s.room.Load()
	if !s.forgetting.Reset(0) {
		t.Fatal("nobody would forget")
	}
	for range 1000 {
		if s.room.Load() != before {
			return
		}
		pause()
	}
	t.Error("the room is still the one of before")
}
