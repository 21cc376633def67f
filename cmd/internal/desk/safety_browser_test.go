//go:build browser

package desk_test

// Safety, as a person meets it in a browser: a picture that claims to be huge, the key of --lan, work that is stopped,
// a HEIC photo.

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"quadrille/cmd/internal/desk"
)

// servedWith gives the address of the page behind a server with a key, and how many answers it is working on.
func servedWith(t *testing.T, key string) (address string, working *atomic.Int32) {
	t.Helper()
	working = new(atomic.Int32)
	s := httptest.NewUnstartedServer(nil)
	host := s.Listener.Addr().String()
	h := desk.Handler(desk.Page, desk.Options{Hosts: []string{host}, Key: key})
	s.Config.Handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/answer" {
			working.Add(1)
			defer working.Add(-1)
		}
		h.ServeHTTP(w, r)
	})
	s.Start()
	t.Cleanup(s.Close)
	return "http://" + host + "/", working
}

// upload gives the page a file that it cannot read as a photo of a display.
func (p *tab) upload(path string) {
	p.Helper()
	path, err := filepath.Abs(path)
	if err != nil {
		p.Fatal(err)
	}
	p.do(chromedp.SetUploadFiles("#file", []string{path}))
}

// A header that says 100 megapixels is refused in words, by either core.
func TestAHundredMegapixelsAreToldOnThePage(t *testing.T) {
	// The first chunk of a PNG of 12,500 × 8,000 pixels of 8 bits a colour, and nothing behind it (W3C PNG, 11.2.1).
	const png = "\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x00\x30\xd4\x00\x00\x1f\x40\x08\x02\x00\x00\x00\x54\xb7\x69\x21"
	path := filepath.Join(t.TempDir(), "huge.png")
	if err := os.WriteFile(path, []byte(png), 0o666); err != nil {
		t.Fatal(err)
	}
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 390)
		p.upload(path)
		p.says("12500×8000 pixels")
		p.says("smaller")
		p.shot("huge-" + filepath.Base(t.Name()))
	})
}

// The address with its key opens the page, and the page then needs it no more; without it the page says what to do.
func TestTheKeyInTheBrowser(t *testing.T) {
	const key = "MIST7TIMER7GREEN7HOUSE77"
	address, _ := servedWith(t, key)
	stranger := newTab(t, address, 390)
	if text := js[string](stranger, `document.body.innerText`); !strings.Contains(text, "needs its whole address") || !strings.Contains(text, "scan the code in the terminal again") {
		t.Errorf("without the key it says %q", text)
	}
	stranger.shot("no-key")

	// A link on a page elsewhere, as in a message: to a browser, localhost is another site than 127.0.0.1.
	elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		fmt.Fprintf(w, `<!DOCTYPE html><title>a message</title><a id="link" href="%s?key=%s">the page</a>`, address, key)
	}))
	t.Cleanup(elsewhere.Close)
	p := newTab(t, strings.Replace(elsewhere.URL, "127.0.0.1", "localhost", 1)+"/", 390)
	p.do(chromedp.Click("#link"))
	for _, how := range []string{"at first", "loaded again"} {
		p.until("the page is there, "+how, `document.getElementById('file') !== null && document.readyState === 'complete'`)
		p.until("the key has left the address, "+how, `location.search === ''`)
		p.choose("slow-pale.jpg")
		p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
		p.says("10.336")
		if js[bool](p, fmt.Sprintf(`document.documentElement.outerHTML.includes(%q) || document.cookie !== '' || document.referrer.includes(%[1]q)`, key)) {
			t.Error("the key is in the page, or open to its scripts")
		}
		p.do(chromedp.Reload())
	}
}

// The Stop button ends the server's work, not only the page's waiting: this one would take minutes.
func TestStopEndsTheServersWork(t *testing.T) {
	address, working := servedWith(t, "")
	p := newTab(t, address, 390)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.says("10.336")
	js[bool](p, `import(location.origin + '/leaves.js').then((leaves) => { leaves.change({ monte_carlo: '1000000' }); return true; })`)
	p.until("it is said that it works", `!document.getElementById('busy').hidden`)
	time.Sleep(time.Second)
	if working.Load() != 1 {
		t.Fatalf("%d answers are worked on", working.Load())
	}
	p.do(chromedp.Click("#stop"))
	begun := time.Now()
	for working.Load() > 0 && time.Since(begun) < 20*time.Second {
		time.Sleep(time.Millisecond)
	}
	took := time.Since(begun)
	t.Log("it ended after ", took)
	if took > 2*time.Second {
		t.Errorf("the server worked on for %v", took)
	}
	p.until("it is said that it was stopped", `document.getElementById('busy').innerText.includes('Stopped')`)
	p.shot("stopped")
}

// A HEIC photo that this browser cannot read is read by the server if it can, else named with what to do.
func TestAHEICPhotoOnThePage(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 390)
		p.upload("../../../vision/photo/testdata/decay.heic")
		p.until("it is read, or named", `document.querySelector('#over .lattice') !== null || document.getElementById('answer').textContent.includes('HEIC')`)
		if js[bool](p, `document.querySelector('#over .lattice') !== null`) {
			p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
			p.says("10.34")
			return
		}
		p.says("as a JPEG")
		p.shot("heic-" + filepath.Base(t.Name()))
	})
}
