//go:build browser

package desk_test

// The notebook on the page: photos side by side, saved to one file and opened again, leaves that are named, moved,
// removed and put back.

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"quadrille/cmd/internal/experiment"
	"quadrille/cmd/internal/notebook"
	"quadrille/cmd/internal/wire"
)

// catchSaved keeps what a link that the page clicks would save, as base64.
const catchSaved = catchFiles + `(HTMLAnchorElement.prototype.click = function () { window.savedFile = window.lastBlob.arrayBuffer()
	.then((b) => new Uint8Array(b).reduce((s, c) => s + String.fromCharCode(c), '')).then(btoa); }, true)`

// saved has the notebook saved, and leaves it in a file whose path it gives.
func (p *tab) saved() string {
	p.Helper()
	js[bool](p, catchSaved)
	js[bool](p, `(window.savedFile = null, true)`)
	p.do(chromedp.Click("#save"))
	p.until("it is saved", `window.savedFile !== null`)
	b, err := base64.StdEncoding.DecodeString(js[string](p, `window.savedFile`))
	if err != nil {
		p.Fatal(err)
	}
	path := filepath.Join(p.TempDir(), "notebook.zip")
	if err := os.WriteFile(path, b, 0o666); err != nil {
		p.Fatal(err)
	}
	return path
}

// set puts a text into a field by its id.
func (p *tab) set(id, text string) {
	p.Helper()
	js[bool](p, fmt.Sprintf(`(document.getElementById(%[1]q).value = %[2]q, document.getElementById(%[1]q).dispatchEvent(new Event('input', {bubbles: true})))`, id, text))
}

// names are those of the leaves, as they stand.
func (p *tab) names() string {
	p.Helper()
	return js[string](p, `[...document.querySelectorAll('#leaves button')].map((b) => b.textContent).join(', ')`)
}

// twoDrives has the fast network of the mist timer at 3 V and at 6 V, each read.
func (p *tab) twoDrives() {
	p.Helper()
	p.choose("fast-blue.jpg")
	p.fill("volts_per_box", "0.5V", "time_per_box", "20ms", "resistance", "4k7±1%", "capacitance", "1uF±5%")
	p.says("4.71")
	p.choose("fast-tube.jpg")
	p.until("two leaves", `document.querySelectorAll('#leaves button').length === 2`)
	p.fill("volts_per_box", "1V", "time_per_box", "20ms", "signal", "decay")
	p.do(chromedp.Click(`#form input[name=ground-how][value=at]`))
	js[bool](p, `(document.getElementById('ground-at').value = -3, document.getElementById('ground-at').dispatchEvent(new Event('input', {bubbles: true})))`)
	p.says("4.75")
}

// Two drives side by side: τ must not change with them, and what both photos share is taken off.
func TestTwoPhotosSideBySide(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 1280)
		p.twoDrives()
		p.until("they are compared", `document.getElementById('side-says').textContent.includes('the time base at 20 ms a box')`)
		for _, says := range []string{"the same within the uncertainties", "against the height of the decays",
			"fast-blue: photo", "fast-tube: photo"} {
			if !strings.Contains(strings.ToLower(js[string](p, `document.getElementById('side').textContent`)), says) {
				t.Errorf("side by side: no %q", says)
			}
		}
		p.shot("side-" + filepath.Base(t.Name()))
	})
}

// So does it find nothing on a notebook with two photos and all unfolded.
func TestTheNotebookIsAccessible(t *testing.T) {
	eachLook(t, func(p *tab, name string) {
		p.twoDrives()
		p.until("they are compared", `document.getElementById('side-says').textContent.includes('20 ms a box')`)
		js[bool](p, `(document.getElementById('book').open = true)`)
		p.shot("notebook-" + name)
		js[bool](p, `document.querySelectorAll('#side details').forEach((d) => { d.open = true; }) === undefined`)
		p.accessible()
		if wide := js[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			p.Errorf("the page is %d px wider than the screen", wide)
		}
	})
}

// Photos that have nothing in common are told to have nothing in common.
func TestPhotosThatShareNothing(t *testing.T) {
	p := newTab(t, served(t), 390)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.says("10.336")
	p.do(chromedp.Click(`#form input[name=ground-how][value=bottom]`))
	p.choose("level-colour.jpg") // without volts a box it is in boxes
	p.until("it is said", `document.getElementById('side-short').textContent.includes('nothing in common to compare')`)
	if says := js[string](p, `document.getElementById('side-short').textContent`); !strings.Contains(says,
		"(slow-pale: decay, level-colour: level)") {
		t.Error(says)
	}
	p.shot("side-nothing")
}

// Leaves are named, moved, removed and put back with the keyboard alone.
func TestLeavesByKeyboard(t *testing.T) {
	p := newTab(t, served(t), 390)
	for i, name := range []string{"slow-pale.jpg", "level-colour.jpg", "sine-colour.jpg"} {
		p.choose(name)
		p.until("a leaf each", fmt.Sprintf(`document.querySelectorAll('#leaves button').length === %d`, i+1))
	}
	p.do(chromedp.Focus("#book summary"), chromedp.KeyEvent(kb.Enter))
	p.shot("book-390")
	for range 4 { // title, by, date, name
		p.do(chromedp.KeyEvent(kb.Tab))
	}
	p.do(chromedp.KeyEvent("pump"))
	expect := func(what, names string) {
		t.Helper()
		if got := p.names(); got != names {
			t.Errorf("%s: %s, want %s", what, got, names)
		}
	}
	if got := p.names(); !strings.Contains(got, "pump") {
		t.Errorf("not named: %s", got)
	}
	p.set("leaf-name", "pump")
	expect("named", "slow-pale, level-colour, pump")
	p.set("leaf-name", "slow-pale")
	expect("a name that another has", "slow-pale, level-colour, slow-pale 2")
	p.set("leaf-name", "pump")
	p.do(chromedp.Focus("#earlier"), chromedp.KeyEvent(kb.Enter), chromedp.KeyEvent(kb.Enter), chromedp.KeyEvent(kb.Enter))
	expect("moved", "pump, slow-pale, level-colour")
	p.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	expect("moved back by one", "slow-pale, pump, level-colour")
	p.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	expect("removed", "slow-pale, level-colour")
	p.shot("removed-390")
	if on := js[string](p, `document.activeElement.id + ', ' + document.querySelector('#leaves [aria-current=true]').textContent`); on != "put-back, level-colour" {
		t.Errorf("the focus and the leaf on top are %s", on)
	}
	p.do(chromedp.KeyEvent(kb.Enter))
	expect("put back", "slow-pale, pump, level-colour")
	p.do(chromedp.Focus("#remove"), chromedp.KeyEvent(kb.Enter),
		chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	expect("removed, and that undone", "slow-pale, pump, level-colour")
	for range 3 {
		p.do(chromedp.Focus("#remove"), chromedp.KeyEvent(kb.Enter))
	}
	p.until("nothing is left", `document.getElementById('view').hidden && document.getElementById('ask').hidden && document.getElementById('keep').hidden`)
	p.do(chromedp.KeyEvent(kb.Enter))
	p.until("the last one is back", `!document.getElementById('view').hidden && !document.getElementById('keep').hidden`)
}

// What the page saves is a notebook of the command line, and opens as what it was.
func TestANotebookIsSavedAndOpened(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 1280)
		p.twoDrives()
		p.until("they are compared", `document.getElementById('side-says').textContent.includes('20 ms a box')`)
		p.do(chromedp.Click("#book summary"))
		p.set("book-title", "The mist timer: 'two' drives")
		p.set("book-by", "null")
		p.set("book-date", "2026-11-30")
		p.set("leaf-name", "high # drive")
		path := p.saved()

		n, err := notebook.Read(os.DirFS(filepath.Dir(path)), "notebook.zip")
		if err != nil {
			t.Fatal(err)
		}
		if n.Title != "The mist timer: 'two' drives" || n.By != "null" || n.Date != "2026-11-30" || len(n.Photos) != 2 {
			t.Errorf("the head is %q, %q, %q, with %d photos", n.Title, n.By, n.Date, len(n.Photos))
		}
		low, high := n.Given(0), n.Given(1)
		if low.VoltsPerBox != "0.5V" || low.Resistance != "4k7±1%" || high.Ground != "-3" || high.Signal != "decay" ||
			n.Photos[1].Name != "high # drive" {
			t.Errorf("settings %+v and %+v, name %q", low, high, n.Photos[1].Name)
		}
		if len(n.Compare) != 2 || n.Compare[0].Quantity != "tau" || len(n.Compare[0].Of) != 2 {
			t.Errorf("compared %+v", n.Compare)
		}
		for i, name := range []string{"fast-blue.jpg", "fast-tube.jpg"} {
			want, err := os.ReadFile("../../../testdata/photos/" + name)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := n.Load(n.Photos[i].File); err != nil || !bytes.Equal(got, want) {
				t.Errorf("%s is not as it was given: %v", name, err)
			}
		}

		// The command line makes its pages.
		e, err := experiment.Read(t.Context(), n, experiment.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if e.Unread() > 0 || len(e.Compared) != 2 || !e.Compared[0].Made() || !e.Compared[0].Agree {
			t.Errorf("of the experiment %d photos are not read, compared is %+v", e.Unread(), e.Compared)
		}

		q := newTab(t, address, 1280)
		q.do(chromedp.SetUploadFiles("#load", []string{path}))
		q.until("two leaves", `document.querySelectorAll('#leaves button').length === 2`)
		q.says("4.71")
		if got := q.names(); got != "fast-blue, high # drive" {
			t.Errorf("the leaves are %s", got)
		}
		q.until("both are read and compared", `document.getElementById('side-says').textContent.includes('high # drive')`)
		q.shot("opened-" + filepath.Base(t.Name()))
		again, err := notebook.Read(os.DirFS(filepath.Dir(q.saved())), "notebook.zip")
		if err != nil {
			t.Fatal(err)
		}
		if diff := sameBooks(n, again); diff != "" {
			t.Error(diff)
		}
	})
}

// sameBooks tells what two notebooks say differently.
func sameBooks(a, b *notebook.Notebook) string {
	return cmp.Diff(a, b, cmpopts.IgnoreUnexported(notebook.Notebook{}, notebook.Photo{}, notebook.Comparison{}),
		cmpopts.IgnoreFields(notebook.Photo{}, "Line"), cmpopts.IgnoreFields(notebook.Comparison{}, "Line"),
		cmpopts.IgnoreFields(wire.Settings{}, "Stage", "Begin"))
}

// onDisk writes files into a folder and gives their paths.
func onDisk(t *testing.T, files map[string][]byte) (paths []string) {
	t.Helper()
	dir := t.TempDir()
	for name, b := range files {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, b, 0o666); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	slices.Sort(paths)
	return paths
}

// What the page does not show survives it: each template, chosen as YAML together with its photos, comes out as it was.
func TestWhatThePageDoesNotShowIsKept(t *testing.T) {
	photos := map[string]string{"level.jpg": "level-colour.jpg", "sine.jpg": "sine-colour.jpg",
		"slow.jpg": "slow-pale.jpg",
		"low.jpg":  "fast-blue.jpg", "high.jpg": "fast-tube.jpg", "sketch.png": "level-colour.jpg"}
	texts := map[string]string{}
	for _, name := range notebook.Templates() {
		texts[name] = string(notebook.Template(name))
	}
	texts["with everything"] = "# of us all\nnotebook: 1\ninstrument: the old one\nsettings: {time_per_box: 5ms, ground: -1}\nphotos:\n" +
		"  - {file: sine.jpg, name: a b, volts_per_box: 1V, instrument: the new one, sketch: sketch.png, squares_per_box: 2, origin: \"3,4\", tolerance: 0.3, readings_file: hand.csv, readings_begin: fit}\n" +
		"  - {file: low.jpg, traces: [{trace: a, volts_per_box: 1V}, {trace: b, volts_per_box: 2V, ground: centre}]}\n" +
		"compare: [{quantity: v_pp, of: [a b/curve, low]}]\n"
	for name, text := range texts {
		t.Run(name, func(t *testing.T) {
			files := map[string][]byte{"book.yaml": []byte(text)}
			if strings.Contains(text, "hand.csv") {
				files["hand.csv"] = []byte("t (ms); V (V)\n0; 1,5\n5; 2\n10; 1\n15; 0\n20; 1,4\n")
			}
			for at, from := range photos {
				if !strings.Contains(text, at) {
					continue
				}
				b, err := os.ReadFile("../../../testdata/photos/" + from)
				if err != nil {
					t.Fatal(err)
				}
				files[at] = b
			}
			paths := onDisk(t, files)
			want, err := notebook.Read(os.DirFS(filepath.Dir(paths[0])), "book.yaml")
			if err != nil {
				t.Fatal(err)
			}
			p := newTab(t, served(t), 390)
			p.do(chromedp.SetUploadFiles("#load", paths))
			p.until("it is opened", `!document.getElementById('view').hidden && document.getElementById('opened').textContent === '' &&
				document.getElementById('busy').hidden && document.getElementById('answer').textContent !== ''`)
			got, err := notebook.Read(os.DirFS(filepath.Dir(p.saved())), "notebook.zip")
			if err != nil {
				t.Fatal(err)
			}
			if diff := sameBooks(want, got); diff != "" {
				t.Error(diff)
			}
			head, _, _ := strings.Cut(text, "\nnotebook:")
			if again, err := got.Encode(); err != nil || !strings.Contains(string(again), head) {
				t.Errorf("the comment at the head is gone: %s, %v", again, err)
			}
		})
	}
}

// Faults of a file that is opened are told with their line, and what is no notebook with its reason.
func TestFaultsOfANotebookAreTold(t *testing.T) {
	photo, err := os.ReadFile("../../../testdata/photos/slow-pale.jpg")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, file, text string
		says             []string
	}{
		{"keys and files", "book.yaml", "notebook: 1\ntitel: x\nphotos:\n  - file: lwo.jpg\n    volts_per_bx: 1V\n",
			[]string{"line 2: a notebook has no key “titel”. To mend it: write title",
				"line 4: there is no file “lwo.jpg” with it. To mend it: the nearest is low.jpg", "line 5: a photo has no key “volts_per_bx”. To mend it: write volts_per_box"}},
		{"a tab", "book.yaml", "notebook: 1\nphotos:\n\t- file: low.jpg\n", []string{"line 3", "YAML"}},
		{"an alias", "book.yaml", "notebook: 1\ntitle: &a x\nby: *a\nphotos: [{file: low.jpg}]\n",
			[]string{"line 2: anchors"}},
		{"a tag", "book.yaml", "notebook: !!js/function 'x'\n", []string{"line 1: tags"}},
		{"depth", "book.yaml", "a: " + strings.Repeat("[", 4000), []string{"YAML"}},
		{"one of the page's own object", "book.yaml", "notebook: 1\n__proto__: {x: 1}\nphotos: [{file: low.jpg}]\n",
			[]string{"line 2: a notebook has no key “__proto__”"}},
		{"no ZIP", "book.zip", "PK but no more", []string{"could not be opened: it is no whole ZIP"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTab(t, served(t), 390)
			p.do(chromedp.SetUploadFiles("#load", onDisk(t, map[string][]byte{c.file: []byte(c.text), "low.jpg": photo})))
			p.until("it is told", `document.getElementById('opened').textContent.includes('could not be opened')`)
			said := js[string](p, `document.getElementById('opened').textContent`)
			for _, says := range c.says {
				if !strings.Contains(said, says) {
					t.Errorf("%q does not say %q", said, says)
				}
			}
			p.shot("faults-" + strings.ReplaceAll(c.name, " ", "-"))
		})
	}
}

// zipOf packs parts, name and content in turn, as other programs do: compressed, with sizes behind the data.
func zipOf(t *testing.T, parts ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.Create(parts[i])
		if err == nil {
			_, err = io.WriteString(w, parts[i+1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A ZIP that another program made of a folder is opened; one that is not to be trusted is refused with its reason.
func TestZIPsOfOthers(t *testing.T) {
	photo, err := os.ReadFile("../../../testdata/photos/slow-pale.jpg")
	if err != nil {
		t.Fatal(err)
	}
	const book = "notebook: 1\nphotos:\n  - {file: photos/slow.jpg, volts_per_box: 1.5V, time_per_box: 5s, ground: bottom}\n"
	good := zipOf(t, "mist/", "", "mist/notebook.yaml", book, "mist/photos/slow.jpg", string(photo),
		"__MACOSX/mist/notebook.yaml", "x")
	lies := zipOf(t, "notebook.yaml", strings.Repeat("#", 100000))
	at := bytes.LastIndex(lies, []byte("PK\x01\x02"))
	copy(lies[at+24:], []byte{10, 0, 0, 0}) // it says 10 bytes
	var many []string
	for i := range 1001 {
		many = append(many, fmt.Sprintf("%d.jpg", i), "x")
	}
	for _, c := range []struct {
		name string
		zip  []byte
		says string // "" if it is opened
	}{
		{"good", good, ""},
		{"cut off", good[:len(good)-40], "it is no whole ZIP"},
		{"out of it", zipOf(t, "notebook.yaml", book, "../slow.jpg", "x"), "leads elsewhere"},
		{"with a drive", zipOf(t, "notebook.yaml", book, `c:\slow.jpg`, "x"), "leads elsewhere"},
		{"twice", zipOf(t, "notebook.yaml", book, "a.jpg", "x", "a.jpg", "y"), "twice"},
		{"more than it says", lies, "it is no whole ZIP"},
		{"many files", zipOf(t, many...), "more than a notebook has"},
		{"a large file", zipOf(t, "notebook.yaml", book, "a.jpg", strings.Repeat("\x00", 65<<20)),
			"more than a notebook has"},
		{"no notebook", zipOf(t, "slow.jpg", "x"), "there is no notebook.yaml"},
		{"a photo that is not there", zipOf(t, "notebook.yaml", book, "photos/slwo.jpg", "x"),
			"line 3: there is no file “photos/slow.jpg” with it. To mend it: the nearest is photos/slwo.jpg"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := newTab(t, served(t), 390)
			p.do(chromedp.SetUploadFiles("#load", onDisk(t, map[string][]byte{"book.zip": c.zip})))
			if c.says == "" {
				p.says("10.336")
				return
			}
			p.until("it is told", `document.getElementById('opened').textContent.includes('could not be opened')`)
			if said := js[string](p, `document.getElementById('opened').textContent`); !strings.Contains(said, c.says) {
				t.Errorf("%q does not say %q", said, c.says)
			}
		})
	}
}

// Two tabs work at once, each with its own notebook.
func TestTwoTabsAtOnce(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p, q := newTab(t, address, 1280), newTab(t, address, 390)
		p.choose("slow-pale.jpg")
		q.choose("fast-blue.jpg")
		p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
		q.fill("volts_per_box", "0.5V", "time_per_box", "20ms")
		p.says("10.336")
		q.says("4.71")
		if n := js[int](p, `document.querySelectorAll('#leaves button').length`); n != 1 {
			t.Errorf("the first tab has %d leaves", n)
		}
	})
}
