//go:build browser

package desk_test

// The page in a real browser, behind the server and as a folder of static files with the core as WebAssembly:
//
//	go test -tags browser ./cmd/internal/desk
//
// Chromium must be installed (on Debian: apt-get install chromium); without it these tests fail. With AXE set to the
// path of axe.min.js of the npm package axe-core, what it finds wrong with a page's accessibility is a failure as well.
// With SHOTS set to a folder, pictures of the states are left there.

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"quadrille/cmd/internal/desk"
	"quadrille/testdata/photos"
)

// An action does something to a page and gives nothing.
type action = chromedp.Action[chromedp.Void]

// A tab is one page in the browser.
type tab struct {
	*testing.T
	ctx context.Context
}

var browser = sync.OnceValues(func() (context.Context, error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.Flag("hide-scrollbars", true))
	ctx, _ := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	return ctx, chromedp.Do(ctx)
})

// newTab opens a page of a width, px, at an address.
func newTab(t *testing.T, address string, width int64, options ...chromedp.EmulateViewportOption) *tab {
	t.Helper()
	parent, err := browser()
	if err != nil {
		t.Fatal("the browser could not be started: ", err)
	}
	ctx, cancel := chromedp.NewContext(parent)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(cancel)
	p := &tab{t, ctx}
	p.do(chromedp.EmulateViewport(width, 844, options...), chromedp.Navigate(address))
	return p
}

func (p *tab) do(actions ...action) {
	p.Helper()
	if err := chromedp.Do(p.ctx, actions...); err != nil {
		p.Fatal(err)
	}
}

// js gives the value of an expression, which may be a promise.
func js[T any](p *tab, expression string) T {
	p.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits for an expression to be true.
func (p *tab) until(what, expression string) {
	p.Helper()
	for begun := time.Now(); !js[bool](p, expression); time.Sleep(50 * time.Millisecond) {
		if time.Since(begun) > 100*time.Second {
			p.Fatalf("%s: not within 100 s; the answer is %q, the slip %q", what, js[string](p, `document.getElementById('answer').innerText`),
				js[string](p, `document.getElementById('slip').innerText`))
		}
	}
}

// says waits until the answer has these words.
func (p *tab) says(words string) {
	p.Helper()
	p.until(words, fmt.Sprintf(`document.getElementById('answer').textContent.includes(%q)`, words))
}

// shot leaves a picture of the page.
func (p *tab) shot(name string) {
	p.Helper()
	dir := os.Getenv("SHOTS")
	if dir == "" {
		return
	}
	b, err := chromedp.Run(p.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), b, 0o666)
	}
	if err != nil {
		p.Error(err)
	}
}

// choose gives the page a photo of testdata.
func (p *tab) choose(name string) {
	p.Helper()
	path, err := filepath.Abs("../../../testdata/photos/" + name)
	if err != nil {
		p.Fatal(err)
	}
	p.do(chromedp.SetUploadFiles("#file", []string{path}))
	p.until("the photo is read", `!document.getElementById('ask').hidden && document.querySelector('#over .lattice') !== null`)
}

// fill puts texts into fields by their names.
func (p *tab) fill(texts ...string) {
	p.Helper()
	for i := 0; i < len(texts); i += 2 {
		p.do(chromedp.SetValue(fmt.Sprintf("#form [name=%s]", texts[i]), texts[i+1]))
		js[bool](p, fmt.Sprintf(`document.querySelector('#form [name=%s]').dispatchEvent(new Event('input', {bubbles: true}))`, texts[i]))
	}
}

// served gives the address of the page behind the server.
func served(t *testing.T) string {
	t.Helper()
	s := httptest.NewUnstartedServer(nil)
	host := s.Listener.Addr().String()
	s.Config.Handler = desk.Handler(desk.Page, desk.Options{Hosts: []string{host}, Samples: photos.Samples})
	s.Start()
	t.Cleanup(s.Close)
	return "http://" + host + "/"
}

var folder = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "quadrille-static")
	if err != nil {
		return "", err
	}
	if out, err := exec.Command("go", "run", "quadrille/cmd/static", dir).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return dir, nil
})

// static gives the address of the folder of static files, and its server.
func static(t *testing.T) (string, *httptest.Server) {
	t.Helper()
	dir, err := folder()
	if err != nil {
		t.Fatal(err)
	}
	s := httptest.NewServer(http.FileServer(http.Dir(dir)))
	t.Cleanup(s.Close)
	return s.URL + "/", s
}

// catchFiles keeps what the page makes an address of: its policy lets no script fetch that.
const catchFiles = `window.addressOf ??= URL.createObjectURL; URL.createObjectURL = (b) => { window.lastBlob = b; return window.addressOf(b); }; `

// eachCore runs a test behind the server and in the browser's worker.
func eachCore(t *testing.T, test func(t *testing.T, address string)) {
	t.Run("server", func(t *testing.T) { test(t, served(t)) })
	t.Run("worker", func(t *testing.T) { address, _ := static(t); test(t, address) })
}

// From "I have a photo" to "the PDF is in my folder", with a change of each setting, and back again.
func TestFromAPhotoToItsPage(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 1280)
		p.shot("start-" + filepath.Base(t.Name()))
		p.choose("slow-pale.jpg")
		p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
		p.says("10.336") // s; 22 kΩ and 470 µF make 10.34 s
		p.shot("answer-" + filepath.Base(t.Name()))
		p.fill("time_per_box", "10s")
		p.says("20.67")
		p.do(chromedp.Click("#undo"))
		p.says("10.336")
		p.fill("volts_per_box", "much")
		p.until("the slip is told", `document.querySelector('#form [name=volts_per_box]').getAttribute('aria-invalid') === 'true'`)
		p.shot("slip-" + filepath.Base(t.Name()))
		p.fill("volts_per_box", "1.5V")
		p.until("the slip is mended", `!document.getElementById('answer').classList.contains('stale')`)
		js[bool](p, catchFiles+`(HTMLAnchorElement.prototype.click = function () { window.savedFile = window.lastBlob.arrayBuffer()
			.then((b) => [this.download, b.byteLength, String.fromCharCode(...new Uint8Array(b, 0, 4))].join(' ')); }, true)`)
		for _, c := range []struct{ name, begins, file string }{
			{"page.pdf", "%PDF", "slow-pale-page.pdf"}, {"result.zip", "PK", "slow-pale.zip"}, {"points.csv", "# fi", "slow-pale-points.csv"},
		} {
			js[bool](p, `(window.savedFile = null, true)`)
			p.do(chromedp.Click(fmt.Sprintf(`[data-keep="%s"]`, c.name)))
			p.until(c.name+" is kept", `window.savedFile !== null`)
			if got := strings.SplitN(js[string](p, `window.savedFile`), " ", 3); got[0] != c.file || !strings.HasPrefix(got[2], c.begins) || len(got[1]) < 5 {
				t.Errorf("%s: kept %q", c.name, got)
			}
		}
	})
}

// A corner that was put a little beside its place heals, as the lines are seen.
func TestAWrongCornerHeals(t *testing.T) {
	p := newTab(t, served(t), 1280)
	p.choose("slow-pale.jpg")
	p.do(chromedp.Click("#corners"))
	place := `(() => { const c = document.querySelector('#over .corner'); return [+c.getAttribute('cx'), +c.getAttribute('cy')]; })()`
	before := js[[]float64](p, place)
	at := js[[]float64](p, `(() => { const c = document.querySelector('#over .corner'); c.scrollIntoView({block: 'center'});
		const r = c.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`)
	p.do(chromedp.DragAndDropXY(at[0], at[1], at[0]+9, at[1]+7, 5))
	p.until("the corners are asked for", `document.getElementById('again').hidden === false`)
	p.until("the corner is back", fmt.Sprintf(`(() => { const [x, y] = %s; return Math.hypot(x - %f, y - %f) < 2; })()`, place, before[0], before[1]))
	p.shot("corners")
	settings := js[int](p, `performance.getEntriesByName(location.href + 'answer').length`)
	js[bool](p, `(document.querySelector('#over .corner').focus(), true)`)
	p.do(chromedp.KeyEvent(kb.ArrowRight))
	p.until("an arrow key asks anew", fmt.Sprintf(`performance.getEntriesByName(location.href + 'answer').length > %d`, settings))
}

// The other of two traces is chosen by its radio button, and read.
func TestTheOtherTraceIsChosen(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.choose("pair-colour.jpg")
	p.fill("volts_per_box", "1V", "time_per_box", "5ms")
	p.says(" Hz")
	chosen := `document.querySelector('#trace-choices input:checked').value`
	first := js[string](p, chosen)
	p.do(chromedp.Click(`#trace-choices label:has(input:not(:checked))`))
	p.until("the other trace is asked for", fmt.Sprintf(`(document.querySelector('#trace-choices input:checked') || {}).value !== %q`, first))
	p.until("the other trace is drawn", `document.querySelectorAll('#over .trace:not(.other)').length === 1 && document.getElementById('busy').hidden`)
	p.shot("other-trace-phone")
}

// What is no photo of a display is told in words, with what to do.
func TestABrokenFileIsTold(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		path := filepath.Join(t.TempDir(), "broken.jpg")
		if err := os.WriteFile(path, []byte("\xff\xd8\xff\xe0 this is no picture"), 0o666); err != nil {
			t.Fatal(err)
		}
		p := newTab(t, address, 390)
		p.do(chromedp.SetUploadFiles("#file", []string{path}))
		p.says("What to do")
		p.shot("broken-" + filepath.Base(t.Name()))
	})
}

// Once loaded, the folder of static files works without a network.
func TestItWorksOffline(t *testing.T) {
	address, server := static(t)
	p := newTab(t, address, 1280)
	p.until("the worker is there", `navigator.serviceWorker.ready.then((r) => Boolean(r.active))`)
	p.do(chromedp.Navigate(address))
	p.until("the page is kept", `caches.keys().then(async (k) => (await (await caches.open(k[0])).keys()).length > 8)`)
	server.Close()
	p.do(chromedp.Navigate(address))
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.says("10.336")
}

// With the keyboard alone: to the samples, to one of them, to its answer.
func TestByKeyboardAlone(t *testing.T) {
	address, _ := static(t)
	p := newTab(t, address, 1280)
	p.do(chromedp.Focus("#samples summary"), chromedp.KeyEvent(kb.Enter))
	p.until("the samples are there", `document.querySelectorAll('#sample-list button').length > 2`)
	p.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	p.says("10.3")
}

// eachLook runs a test in light and dark, at the width of a phone and of a desk; name is for pictures.
func eachLook(t *testing.T, test func(p *tab, name string)) {
	for _, scheme := range []string{"light", "dark"} {
		for _, width := range []int64{390, 1280} {
			name := fmt.Sprintf("%s-%d", scheme, width)
			t.Run(name, func(t *testing.T) {
				p := newTab(t, served(t), width)
				if _, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
					Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}); err != nil {
					t.Fatal(err)
				}
				test(p, name)
			})
		}
	}
}

// accessible has an automated checker look at the page; it must find nothing serious.
func (p *tab) accessible() {
	p.Helper()
	script, err := os.ReadFile(os.Getenv("AXE"))
	if err != nil {
		p.Fatal("AXE is not the path of axe.min.js, of the npm package axe-core: ", err)
	}
	js[bool](p, string(script)+"; true")
	found := js[[]string](p, `axe.run(document, {resultTypes: ['violations']}).then((r) => r.violations
		.filter((v) => ['serious', 'critical'].includes(v.impact)).map((v) => v.id + ': ' + v.nodes.map((n) => n.target.join(' ')).join(', ')))`)
	if len(found) > 0 {
		p.Errorf("%q", found)
	}
}

// An automated checker finds nothing serious.
func TestAccessibility(t *testing.T) {
	eachLook(t, func(p *tab, name string) {
		p.choose("slow-pale.jpg")
		p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
		p.says("10.336")
		p.shot(name)
		p.accessible()
	})
}
