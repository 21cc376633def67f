// The body of a post: a form by RFC 7578 with the parts photo, settings, and have or name, read into memory. The parser
// of net/http for whole forms would put large parts on the disk.

package desk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"time"
)

const (
	// maxBody is the largest body in bytes: a photo of the largest size that is read, photo.DefaultBytes, and its settings
	// may not be more together. TestBodiesOfTheWrongKind would notice.
	maxBody = 64 << 20
	// maxDocuments is the largest list of documents in bytes: 26 of 0.4 MB, as a photo with three traces has.
	// TestDocumentsOfTheWrongKind would notice.
	maxDocuments = 12 << 20
	// bodyTime is how long a body may take: the photo of a phone, 6 MB, over a wireless network that gives it 1 Mbit/s.
	// TestASlowBodyIsLeft holds that it ends.
	bodyTime = 60 * time.Second
	// maxSettings is the most of the part settings, in bytes: some hundred, or a table of 100,000 readings.
	// TestBodiesOfTheWrongKind would notice.
	maxSettings = 4 << 20
	// maxShort is the most of the parts have and name, in bytes: some hundred are sent. TestBodiesOfTheWrongKind would
	// notice.
	maxShort = 4 << 10
)

type form struct {
	photo, settings []byte
	have, name      string
}

// form reads the body of r to its end.
func (s *server) form(w http.ResponseWriter, r *http.Request) (f *form, no *refusal) {
	no = s.body(w, r, maxBody, "send the parts photo, settings, and have or name as multipart/form-data", func() (err error) {
		f, err = readParts(r)
		return err
	})
	return f, no
}

// text reads the body of r to its end, a list of documents as JSON.
func (s *server) text(w http.ResponseWriter, r *http.Request) (b []byte, no *refusal) {
	no = s.body(w, r, maxDocuments, "send the documents of two photos or more", func() (err error) {
		b, err = readAll(r.Body, r.ContentLength)
		return err
	})
	return b, no
}

// body has the body of r read, to its end and within limits of size and time.
func (s *server) body(w http.ResponseWriter, r *http.Request, most int64, hint string, read func() error) *refusal {
	if r.ContentLength > most {
		s.drain(w, r)
		return tooLarge(most)
	}
	s.deadline(w)
	body := &keepsError{from: http.MaxBytesReader(w, r.Body, most)}
	r.Body = body
	err := read()
	if err == nil {
		_, err = io.Copy(io.Discard, body) // only at the end does net/http begin to notice that the sender leaves
	}
	var large *http.MaxBytesError
	switch {
	case err == nil:
		_ = http.NewResponseController(w).SetReadDeadline(time.Time{}) // or the work would end when it passes
		return nil
	case errors.As(body.err, &large):
		return tooLarge(most)
	case errors.Is(body.err, os.ErrDeadlineExceeded):
		return &refusal{http.StatusRequestTimeout, "server", "what was sent came too slowly", "try again nearer to the network, or with a smaller photo"}
	}
	return &refusal{http.StatusBadRequest, "server", "the form is not right: " + err.Error(), hint}
}

func tooLarge(most int64) *refusal {
	if most == maxDocuments {
		return &refusal{http.StatusRequestEntityTooLarge, "file", fmt.Sprintf("the readings are larger than %d MB together", most>>20), "compare fewer photos"}
	}
	return &refusal{http.StatusRequestEntityTooLarge, "file", fmt.Sprintf("the photo is larger than %d MB", most>>20), "give a smaller one, or save it as JPEG"}
}

func readParts(r *http.Request) (*form, error) {
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, err
	}
	f, seen := new(form), map[string]bool{}
	for {
		part, err := parts.NextRawPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, err
		}
		name := part.FormName()
		if seen[name] {
			return nil, fmt.Errorf("part %q comes twice", name)
		}
		seen[name] = true
		var text []byte
		switch name {
		case "photo":
			f.photo, err = readAll(part, r.ContentLength)
		case "settings":
			f.settings, err = readShort(part, maxSettings)
		case "have":
			text, err = readShort(part, maxShort)
			f.have = string(text)
		case "name":
			text, err = readShort(part, maxShort)
			f.name = string(text)
		default:
			return nil, fmt.Errorf("there is no part %q", name)
		}
		if err != nil {
			return nil, err
		}
	}
	if !seen["photo"] {
		return nil, errors.New("the part photo is missing")
	}
	return f, nil
}

// readAll reads a part of a body whose length was told, and kept free for it (queue.go), without copies.
func readAll(part io.Reader, length int64) ([]byte, error) {
	buf := bytes.NewBuffer(make([]byte, 0, max(length, 0)+bytes.MinRead))
	_, err := buf.ReadFrom(part)
	return buf.Bytes(), err
}

// readShort reads a part of so many bytes at most.
func readShort(part io.Reader, most int64) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(part, most+1))
	if int64(len(text)) > most {
		return nil, fmt.Errorf("a part that should be short is longer than %d bytes", most)
	}
	return text, err
}

// drain reads a body that is not wanted, so that a browser which is still sending hears the answer.
func (s *server) drain(w http.ResponseWriter, r *http.Request) {
	s.deadline(w)
	_, _ = io.CopyN(io.Discard, r.Body, maxBody)
}

// leave has nothing of a stranger's body read, and nobody waits for it: else net/http would, before it answers.
func (s *server) leave(w http.ResponseWriter) {
	w.Header().Set("Connection", "close")
	_ = http.NewResponseController(w).SetReadDeadline(time.Now())
}

// deadline ends the reading of a body after its time. A recorder in the place of a connection has none.
func (s *server) deadline(w http.ResponseWriter) {
	_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.bodyTime))
}

// keepsError keeps the error that reading ended with; the parser of forms has its own words for it.
type keepsError struct {
	from io.ReadCloser
	err  error
}

func (k *keepsError) Read(b []byte) (int, error) {
	n, err := k.from.Read(b)
	if err != nil && err != io.EOF {
		k.err = err
	}
	return n, err
}

func (k *keepsError) Close() error { return k.from.Close() }
