// Where a notebook's files are: beside it in a folder, or with it in a ZIP.

package notebook

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"quadrille/vision/photo"
)

const (
	// maxFile is the largest file that a notebook may name, in bytes: a photo of the largest size that is read.
	// TestAPhotoThatUnpacksToMuchIsRefused would notice.
	maxFile = photo.DefaultBytes
	// maxText is the largest notebook in bytes without its photos: a class of 200 photos with 1 kB of settings each. What
	// it becomes in memory is 300 times that at most. TestLimits would notice.
	maxText = 256 << 10
	// maxEntries and maxUnpacked bound a ZIP: 200 photos, a table and a sketch to each, and folders; 1 GB. Its files are
	// unpacked one at a time. TestAZIPIsNotTrusted would notice.
	maxEntries  = 1000
	maxUnpacked = 1 << 30
	// maxPacked is the largest ZIP in bytes: it is held in memory. Photos do not become smaller in it.
	maxPacked = 256 << 20
	// Name is that of the notebook in a ZIP.
	Name = "notebook.yaml"
)

// A place is a folder in which the names of a notebook's files are looked up.
type place struct {
	files fs.FS
	dir   string // in files
}

// at gives the name in files; it may lead out of the folder, but not out of files.
func (p place) at(name string) (string, error) {
	switch {
	case strings.Contains(name, `\`):
		return "", refuse(`write / between folders`, `a name with \ in it is not found on every computer`)
	case path.IsAbs(name) || len(name) > 1 && name[1] == ':':
		return "", refuse("give the file beside the notebook, or in a folder below it",
			"the name begins at the root of one computer's disk")
	}
	at := path.Join(p.dir, name)
	if !fs.ValidPath(at) {
		return "", refuse("put the file beside the notebook, or in a folder below it",
			"the name leads out of the notebook's place")
	}
	return at, nil
}

// look says whether a file can be loaded; its error is a *refusal, as all are that have a hint.
func (p place) look(name string, most int64) error {
	at, err := p.at(name)
	if err != nil {
		return err
	}
	info, err := fs.Stat(p.files, at)
	switch {
	case err != nil:
		if near := p.near(at); near != "" {
			return refuse(fmt.Sprintf("the nearest is %s", near), "there is no file %s", name)
		}
		return refuse("put it beside the notebook, or mend its name", "there is no file %s", name)
	case info.IsDir():
		return refuse("name a file in it", "%s is a folder", name)
	case info.Size() == 0:
		return refuse("copy it again", "%s is empty", name)
	case info.Size() > most:
		return refuse("give a smaller one", "%s is larger than %d MB", name, most>>20)
	}
	return nil
}

// near gives the name in the same folder that was most likely meant.
func (p place) near(at string) string {
	list, err := fs.ReadDir(p.files, path.Dir(at))
	if err != nil {
		return ""
	}
	var names []string
	for _, e := range list {
		if !e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return nearest(path.Base(at), names)
}

func (p place) load(name string, most int64) ([]byte, error) {
	at, err := p.at(name)
	if err != nil {
		return nil, err
	}
	return load(p.files, at, most)
}

// load reads a file of at most so many bytes, whatever its size is said to be.
func load(files fs.FS, at string, most int64) ([]byte, error) {
	f, err := files.Open(at)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(b)) > most {
		err = refuse("give a smaller one", "%s is larger than %d kB", path.Base(at), most>>10)
	}
	return b, err
}

// loadText loads a notebook. Of what is no text, and may be larger, it gives the beginning.
func loadText(files fs.FS, at string) ([]byte, error) {
	f, err := files.Open(at)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, maxText+1))
}

func isZIP(b []byte) bool { return bytes.HasPrefix(b, []byte("PK\x03\x04")) }

// unpack opens a ZIP. Its notebook is Name, at the top or in the one folder that holds all, as a folder that was packed
// whole has it. Nothing is unpacked yet.
func unpack(b []byte) (place, error) {
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return place{}, refuse("save it again", "it is no whole ZIP")
	}
	if len(z.File) > maxEntries {
		return place{}, refuse("pack the notebook and its photos alone", "it has more than %d files", maxEntries)
	}
	var size uint64
	found, seen := "", map[string]bool{}
	for _, f := range z.File {
		name := strings.TrimSuffix(f.Name, "/")
		switch {
		case !fs.ValidPath(name) || strings.ContainsAny(name, `\:`) || strings.ContainsFunc(name, unicode.IsControl):
			return place{}, refuse("pack the notebook and its photos alone", "it has a file %q, whose name leads elsewhere",
				name)
		case !utf8.ValidString(name):
			return place{}, refuse("use letters of English in the names of files",
				"it has a file %q, whose name is not in UTF-8", name)
		case seen[name]:
			return place{}, refuse("pack it again", "it has the file %q twice", name)
		case f.Mode()&fs.ModeSymlink != 0:
			return place{}, refuse("pack the file itself", "it has a link %q in the place of a file", name)
		case f.UncompressedSize64 > maxUnpacked || size+f.UncompressedSize64 > maxUnpacked:
			return place{}, refuse("pack fewer photos", "it holds more than %d MB", maxUnpacked>>20)
		}
		seen[name] = true
		size += f.UncompressedSize64
		if path.Base(name) == Name && !strings.HasPrefix(name, "__MACOSX/") &&
			(found == "" || strings.Count(name, "/") < strings.Count(found, "/")) {
			found = name
		}
	}
	if found == "" {
		return place{}, refuse("pack the notebook under this name", "there is no %s in it", Name)
	}
	return place{z, path.Dir(found)}, nil
}
