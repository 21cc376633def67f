// Where readings are kept between one run and the next: a folder of small files, one a photo with its settings, named
// by what it was made from. A file begins with the SHA-256 of the rest, so that one that was cut or changed is no
// reading; it is then made anew. No error of the folder is told: without it the photos are only read again.

package experiment

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"time"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

const (
	// ShelfBytes is the most that is kept, in bytes: the photos of a term, at half a megabyte each. The ones that were
	// longest not used go first (TestTheShelfIsBounded).
	ShelfBytes = 100 << 20
	// maxKept is the largest file that is taken for a reading: 20 times an ordinary one.
	maxKept = 16 << 20
	// suffix of the files, so that nothing else in the folder is ever touched.
	suffix = ".reading"
)

// A Shelf keeps readings in a folder. Nil keeps nothing.
type Shelf struct {
	folder, program string
	fresh           bool
	most            int64
}

// NewShelf gives a shelf in a folder, which is made when it is needed. program says which program makes the readings,
// so that another one makes its own. With fresh set nothing that is there is used, and what is made is kept.
func NewShelf(folder, program string, fresh bool) *Shelf {
	return &Shelf{folder, program, fresh, ShelfBytes}
}

// kept is what a file holds behind its checksum.
type kept struct {
	Document []byte
	Pictures *report.Pictures // nil of a table
}

// key names a reading by all that it is made from.
func (s *Shelf) key(data []byte, given wire.Settings) string {
	if s == nil {
		return ""
	}
	settings, err := json.Marshal(given)
	if err != nil {
		return "" // texts are always written
	}
	h := sha256.New()
	for _, part := range [][]byte{[]byte(s.program), settings, data} {
		sum := sha256.Sum256(part)
		h.Write(sum[:])
	}
	return hex.EncodeToString(h.Sum(nil))
}

func (s *Shelf) path(key string) string { return filepath.Join(s.folder, key+suffix) }

// find gives what is kept under a key.
func (s *Shelf) find(key string) (*wire.Document, *report.Pictures, bool) {
	if s == nil || key == "" || s.fresh {
		return nil, nil, false
	}
	path := s.path(key)
	if info, err := os.Lstat(path); err != nil || !info.Mode().IsRegular() || info.Size() > maxKept {
		return nil, nil, false
	}
	data, err := os.ReadFile(path)
	if err != nil || len(data) < sha256.Size {
		return nil, nil, false
	}
	if sum := sha256.Sum256(data[sha256.Size:]); !bytes.Equal(sum[:], data[:sha256.Size]) {
		return nil, nil, false
	}
	var k kept
	if gob.NewDecoder(bytes.NewReader(data[sha256.Size:])).Decode(&k) != nil {
		return nil, nil, false
	}
	d, err := wire.Decode(k.Document)
	if err != nil {
		return nil, nil, false
	}
	now := time.Now()
	_ = os.Chtimes(path, now, now) // the last one used goes last
	return d, k.Pictures, true
}

// keep puts a reading on the shelf, whole or not at all, and takes away what there is no more room for.
func (s *Shelf) keep(key string, d *wire.Document, p *report.Pictures) {
	if s == nil || key == "" {
		return
	}
	text, err := wire.Encode(d)
	if err != nil {
		return
	}
	var b bytes.Buffer
	b.Write(make([]byte, sha256.Size))
	if gob.NewEncoder(&b).Encode(kept{text, p}) != nil || b.Len() > maxKept {
		return
	}
	sum := sha256.Sum256(b.Bytes()[sha256.Size:])
	copy(b.Bytes(), sum[:])
	if os.MkdirAll(s.folder, 0o700) != nil {
		return
	}
	f, err := os.CreateTemp(s.folder, "*"+suffix)
	if err != nil {
		return
	}
	_, err = f.Write(b.Bytes())
	if f.Close() != nil || err != nil || os.Rename(f.Name(), s.path(key)) != nil {
		os.Remove(f.Name())
		return
	}
	s.trim()
}

// trim takes away the readings that were longest not used, until the rest has room.
func (s *Shelf) trim() {
	list, err := os.ReadDir(s.folder)
	if err != nil {
		return
	}
	var files []os.FileInfo
	total := int64(0)
	for _, e := range list {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && filepath.Ext(e.Name()) == suffix {
			files, total = append(files, info), total+info.Size()
		}
	}
	slices.SortFunc(files, func(a, b os.FileInfo) int { return a.ModTime().Compare(b.ModTime()) })
	for _, f := range files {
		if total <= s.most {
			return
		}
		os.Remove(filepath.Join(s.folder, f.Name()))
		total -= f.Size()
	}
}
