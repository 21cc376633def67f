// Package desk serves the page on which a person reads photos: its files, the simulated photos to try it with, and the
// answers of package live. It writes nothing to disk and logs nothing.
//
//	GET  /                     the page and its files
//	GET  /samples              what simulated photos there are, as JSON; /samples/NAME is one of them
//	POST /answer               photo, settings, have -> a live.Answer as JSON, with its status; of a request that accepts
//	                           application/x-ndjson first a line for each stage as it begins (progress.go)
//	POST /file                 photo, settings, name -> that file of those which a reading leaves, or result.zip with all
//	POST /compare              documents as JSON (live.Compare) -> a live.Compared as JSON, with its status
//	POST /check                two documents as JSON (live.Check) -> a live.Checked as JSON, with its status
//
// A request is judged before anything of it is read: by its Host, then its Origin, then its key (guard.go). Bodies come
// into memory, within limits of size and time (form.go), and wait for one of as many turns as there are cores
// (queue.go).
package desk

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"quadrille/cmd/internal/live"
	"quadrille/cmd/internal/wire"
)

const (
	// keepTime is how long the photos that were read are remembered after the last request: through an hour at the bench
	// with pauses, and not for the rest of the day. TestPhotosAreForgotten would notice.
	keepTime = 10 * time.Minute
	// retryAfter is what a page is told to wait when all is taken, in seconds: a few readings of 0.5 s.
	// TestTwoHundredPostsAtOnce would notice if it were gone.
	retryAfter = "3"
)

// Options say what a handler serves, and to whom.
type Options struct {
	Hosts   []string // values of Host that are answered, such as "127.0.0.1:4380"; all else is refused
	Key     string   // that every request must have; "" for none
	Samples fs.FS    // the simulated photos, and samples.json, which lists them; nil for none
}

// A server is the handler.
type server struct {
	page, samples fs.FS
	guard         guard
	queue         *queue
	room          atomic.Pointer[live.Room]
	forgetting    *time.Timer
	bodyTime      time.Duration
}

// Handler serves page, the folder with index.html, and answers for it.
func Handler(page fs.FS, o Options) http.Handler { return newServer(page, o) }

func newServer(page fs.FS, o Options) *server {
	s := &server{page: page, samples: o.Samples, guard: guard{o.Hosts, o.Key}, queue: newQueue(), bodyTime: bodyTime}
	s.room.Store(new(live.Room))
	s.forgetting = time.AfterFunc(keepTime, s.forget)
	return s
}

// forget lets go of all photos.
func (s *server) forget() {
	s.room.Store(new(live.Room))
	s.queue.rest.Reset(0)
}

// policy lets the page load what comes with it and nothing else, and keeps it out of frames. Its style attributes place
// what is drawn over the photo; WebAssembly is the core in a browser without this server.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; " +
	"img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; form-action 'none'; " +
	"base-uri 'none'; frame-ancestors 'none'"

func (s *server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
	defer func() {
		if fault := recover(); fault != nil {
			refuse(w, r, &refusal{http.StatusInternalServerError, "program", fmt.Sprint("a fault of the program: ", fault), "report it, with the photo if you may"})
		}
	}()
	if no := s.guard.check(w, r); no != nil {
		if no == keyless {
			s.drain(w, r)
		} else {
			s.leave(w)
		}
		refuse(w, r, no)
		return
	}
	switch name := strings.TrimPrefix(r.URL.Path, "/"); {
	case name == "answer" || name == "file" || name == "compare" || name == "check":
		if allowed(w, r, http.MethodPost) {
			s.post(w, r)
		}
	case !allowed(w, r, http.MethodGet, http.MethodHead):
	case name == "":
		file(w, r, s.page, "index.html")
	case name == "samples":
		file(w, r, s.samples, "samples.json")
	case strings.HasPrefix(name, "samples/"):
		file(w, r, s.samples, strings.TrimPrefix(name, "samples/"))
	default:
		file(w, r, s.page, name)
	}
}

func allowed(w http.ResponseWriter, r *http.Request, methods ...string) bool {
	if slices.Contains(methods, r.Method) {
		return true
	}
	w.Header().Set("Allow", strings.Join(methods, ", "))
	http.Error(w, "this address takes "+strings.Join(methods, " and ")+" only", http.StatusMethodNotAllowed)
	return false
}

// types are the kinds of file that a page has and a reading leaves. Those of the operating system are not asked: some
// know no scripts.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".json": "application/json", ".webmanifest": "application/manifest+json", ".svg": "image/svg+xml", ".png": "image/png",
	".jpg": "image/jpeg", ".wasm": "application/wasm", ".gz": "application/gzip", ".zip": "application/zip",
	".pdf": "application/pdf", ".csv": "text/csv; charset=utf-8",
}

// file serves one file. Folders are not found, nor is what leads out of files: fs.ReadFile takes neither.
func file(w http.ResponseWriter, r *http.Request, files fs.FS, name string) {
	var text []byte
	err := fs.ErrNotExist
	if files != nil {
		text, err = fs.ReadFile(files, name)
	}
	if err != nil {
		http.Error(w, "there is no such page", http.StatusNotFound)
		return
	}
	send(w, r, http.StatusOK, typeOf(name), text)
}

func typeOf(name string) string {
	if kind, known := types[path.Ext(name)]; known {
		return kind
	}
	return "application/octet-stream"
}

// send writes a response; of HEAD its header only.
func send(w http.ResponseWriter, r *http.Request, status int, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		_, _ = w.Write(body) // whoever has gone cannot be told
	}
}

// post reads a photo or lays documents side by side, once it is its turn.
func (s *server) post(w http.ResponseWriter, r *http.Request) {
	leave, no := s.queue.enter(r.ContentLength)
	if no != nil {
		s.drain(w, r)
		refuse(w, r, no)
		return
	}
	defer leave()
	var f *form
	var documents []byte
	if r.URL.Path == "/compare" || r.URL.Path == "/check" {
		documents, no = s.text(w, r)
	} else {
		f, no = s.form(w, r)
	}
	if no != nil {
		refuse(w, r, no)
		return
	}
	end, no := s.queue.turn(r.Context())
	if no != nil {
		refuse(w, r, no)
		return
	}
	defer end()
	s.forgetting.Reset(keepTime)
	switch r.URL.Path {
	case "/compare":
		c := live.Compare(documents)
		send(w, r, c.Status, "application/json", lineOf(c))
	case "/check":
		c := live.Check(r.Context(), documents)
		send(w, r, c.Status, "application/json", lineOf(c))
	case "/answer":
		p := progress{w: w, wanted: strings.Contains(r.Header.Get("Accept"), lines)}
		p.end(r, s.room.Load().Answer(r.Context(), f.photo, f.settings, f.have, p.begin))
	default:
		s.keep(w, r, f)
	}
}

// keep sends one of the files of a reading, or all of them.
func (s *server) keep(w http.ResponseWriter, r *http.Request, f *form) {
	room := s.room.Load()
	file, status := room.File(r.Context(), f.photo, f.settings, f.name)
	switch status {
	case http.StatusOK:
		w.Header().Set("Content-Disposition", fmt.Sprintf("attachment; filename=%q", f.name))
		send(w, r, status, typeOf(f.name), file)
	case http.StatusNotFound:
		refuse(w, r, &refusal{status, "file", "there is no such file", "ask for " + live.All + ", which has all of them"})
	default:
		var d wire.Document
		if err := json.Unmarshal(room.Answer(r.Context(), f.photo, f.settings, "", nil).Document, &d); err != nil || d.Error == nil {
			d.Error = &wire.Error{Reason: "there is nothing to keep"}
		}
		refuse(w, r, &refusal{status, d.Error.Kind, d.Error.Reason, string(d.Error.Hint)})
	}
}

func answer(w http.ResponseWriter, r *http.Request, a *live.Answer) {
	send(w, r, a.Status, "application/json", lineOf(a))
}

// lineOf is an answer of package live as one line of JSON.
func lineOf(a any) []byte {
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false) // it is no part of a page, and larger by a tenth
	if err := e.Encode(a); err != nil {
		panic("an answer cannot be encoded: " + err.Error()) // its types hold nothing that JSON refuses
	}
	return text.Bytes()
}

// A refusal is why a request was not served, and what to do.
type refusal struct {
	status             int // of HTTP
	kind, reason, hint string
}

// refuse says it in the way that the request wants: where the page asks for an answer as any other error of a reading,
// else as text.
func refuse(w http.ResponseWriter, r *http.Request, no *refusal) {
	if no.status == http.StatusServiceUnavailable {
		w.Header().Set("Retry-After", retryAfter)
	}
	if r.Method != http.MethodPost || r.URL.Path != "/answer" {
		send(w, r, no.status, "text/plain; charset=utf-8", []byte(no.reason+".\nWhat to do: "+no.hint+"\n"))
		return
	}
	answer(w, r, live.Refusal(no.status, wire.Error{Kind: no.kind, Reason: no.reason, Hint: wire.Text(no.hint)}))
}
