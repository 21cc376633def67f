//go:build browser

package desk_test

// With a phone, from a photo to its page: what comes next is always in sight or told, and all that is tapped is as
// large as a fingertip.

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// onAPhone opens the page as a phone shows it.
func onAPhone(t *testing.T, address string) *tab {
	t.Helper()
	return newTab(t, address, 390, chromedp.EmulateMobile, chromedp.EmulateTouch)
}

// inSight is an expression that says whether an element lies in the window, above the bar at its lower rim.
func inSight(selector string) string {
	return fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return r.top >= 0 && r.top < innerHeight - 64; })()`, selector)
}

// From the photo to the fields, to the answer: each step is told while it is below the window, and a tap or the enter
// key goes there.
func TestWhatComesNextIsTold(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := onAPhone(t, address)
		p.choose("slow-pale.jpg")
		told := func(words string) {
			t.Helper()
			p.until(words, fmt.Sprintf(`!document.getElementById('next').hidden && document.getElementById('next').innerText.replaceAll('\u00a0', ' ').includes(%q)`, words))
		}
		gone := func(what string) {
			t.Helper()
			p.until(what, `document.getElementById('next').hidden`)
		}
		p.until("the photo and its lines are in sight", inSight("#frame")+` && document.getElementById('frame').getBoundingClientRect().bottom < innerHeight`)
		told("Next: volts and time a box")
		p.do(chromedp.Tap("#next"))
		p.until("the fields are in sight", inSight("[name=volts_per_box]")+` && document.activeElement.name === 'volts_per_box'`)
		gone("nothing is told beside the field")
		p.do(chromedp.KeyEvent("1.5V"), chromedp.KeyEvent(kb.Enter))
		p.until("the next field has the focus", `document.activeElement.name === 'time_per_box'`)
		p.do(chromedp.KeyEvent("5s"))
		told("time constant τ (10.336 ± 0.046) s")
		p.do(chromedp.KeyEvent(kb.Enter))
		p.until("the answer is in sight", inSight("#first strong"))
		gone("the answer is not told beside itself")
		js[bool](p, `(scrollTo({top: 0, behavior: 'instant'}), true)`)
		told("10.336")
		js[bool](p, `(scrollTo({top: document.body.scrollHeight, behavior: 'instant'}), true)`)
		gone("what was jumped over is not told")
		js[bool](p, `(scrollTo({top: 0, behavior: 'instant'}), true)`)
		p.do(chromedp.Tap("#next"))
		p.until("the answer is in sight again", inSight("#first strong"))
		p.fill("time_per_box", "5")
		p.until("the slip is told", `!document.getElementById('slip').hidden`)
		if js[bool](p, `document.getElementById('next').checkVisibility()`) {
			t.Error("beside a slip the bar tells what is no longer asked for")
		}
	})
}

// All that is tapped is at least 44 px high and wide, as Web Content Accessibility Guidelines 2.2, 2.5.5, has it.
func TestAllThatIsTappedIsLargeEnough(t *testing.T) {
	p := onAPhone(t, served(t))
	for _, do := range []func(){
		func() {},
		func() { p.choose("pair-colour.jpg") },
		func() { p.fill("time_per_box", "5ms"); p.says("volts a box are not known") },
		func() { p.fill("volts_per_box", "1V"); p.numbers("Hz"); p.do(chromedp.Click("#corners")) },
	} {
		do()
		js[bool](p, `(document.querySelectorAll('details').forEach((d) => { d.open = true; }), true)`)
		small := js[[]string](p, `[...document.querySelectorAll('button, .button, input, select, summary, .choices label')]
			.filter((e) => e.checkVisibility() && !e.matches('.unseen, [type=radio]')).map((e) => [e, e.getBoundingClientRect()])
			.filter(([, r]) => r.height < 43.5 || r.width < 43.5).map(([e, r]) => e.outerHTML.slice(0, 60) + ' ' + r.width + ' x ' + r.height)`)
		if len(small) > 0 {
			t.Errorf("too small: %s", strings.Join(small, "\n"))
		}
	}
}

// On a desk the words of the graph stand beside it.
func TestTheWordsOfTheGraphStandBesideIt(t *testing.T) {
	p := newTab(t, served(t), 1280)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.numbers("10.336")
	at := js[[]float64](p, `(() => { const [s, c] = ['svg', 'figcaption'].map((e) => document.querySelector('#answer > .graph ' + e).getBoundingClientRect());
		return [s.right, c.left, s.bottom, c.bottom]; })()`)
	if at[1] < at[0] || at[3] > at[2] {
		t.Errorf("the graph ends at %g, its caption begins at %g; their lower ends are %g and %g", at[0], at[1], at[2], at[3])
	}
}

// A notebook may call a trace by its colour: its radio button is chosen, and its settings are shown and changed.
func TestATraceIsCalledByItsColour(t *testing.T) {
	const chosen = `document.querySelector('#trace-choices input:checked').value`
	photo, err := os.ReadFile("../../../testdata/photos/pair-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, text string }{
		{"one", "trace: '#90e0f0'\n    volts_per_box: 2V\n"}, // it is sought by its colour, and is the only one
		{"two", "traces:\n      - trace: '#90e0f0'\n        volts_per_box: 2V\n      - trace: '#f0c080'\n        volts_per_box: 1V\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			var files []string
			for name, b := range map[string][]byte{"pair-colour.jpg": photo,
				"notebook.yaml": []byte("notebook: 1\nphotos:\n  - file: pair-colour.jpg\n    time_per_box: 5ms\n    " + c.text)} {
				files = append(files, filepath.Join(dir, name))
				if err := os.WriteFile(files[len(files)-1], b, 0o666); err != nil {
					t.Fatal(err)
				}
			}
			p := newTab(t, served(t), 1280)
			p.do(chromedp.SetUploadFiles("#load", files))
			p.until("its radio button is chosen", `document.querySelector('#trace-choices input:checked') !== null`)
			if got := p.value("volts_per_box"); got != "2V" {
				t.Errorf("the volts a box are %q", got)
			}
			if c.name == "two" {
				other := func(volts string) {
					t.Helper()
					before := js[string](p, chosen)
					next := p.nextAnswer()
					js[bool](p, `(document.querySelector('#trace-choices input:not(:checked)').click(), true)`)
					next()
					if got := p.value("volts_per_box"); got != volts || js[string](p, chosen) == before {
						t.Errorf("after another was chosen, the volts a box are %q, want %s", got, volts)
					}
				}
				other("1V")
				other("2V")
			}
			next := p.nextAnswer()
			p.fill("volts_per_box", "4V")
			next()
			if got := p.text("slip"); got != "" {
				t.Error(got)
			}
		})
	}
}
