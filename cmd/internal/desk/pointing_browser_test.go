//go:build browser

package desk_test

// What a person points at on the page: traces, the window of the fit, the ground line, levels, the photo's size,
// corners under a finger.

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// middle gives the middle of an element in the window, once it is in sight.
func (p *tab) middle(selector string) (x, y float64) {
	p.Helper()
	at := js[[]float64](p, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.scrollIntoView({block: 'center'});
		const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, selector))
	return at[0], at[1]
}

// along gives a place in the window on a path of SVG, at a share of its length.
func (p *tab) along(selector string, share float64) (x, y float64) {
	p.Helper()
	p.middle(selector)
	at := js[[]float64](p, fmt.Sprintf(`(() => { const e = document.querySelector(%q), at = e.getPointAtLength(%g * e.getTotalLength());
		const q = new DOMPoint(at.x, at.y).matrixTransform(e.getScreenCTM()); return [q.x, q.y]; })()`, selector, share))
	return at[0], at[1]
}

// touch moves fingers over the screen: in each step a place for each finger, after the last of which they are lifted.
func (p *tab) touch(steps ...[][2]float64) {
	p.Helper()
	kind := input.DispatchTouchEventTypeTouchStart
	for _, step := range append(steps, nil) {
		var points []*input.TouchPoint
		for i, at := range step {
			id := float64(i)
			points = append(points, &input.TouchPoint{X: at[0], Y: at[1], ID: &id})
		}
		if step == nil {
			kind = input.DispatchTouchEventTypeTouchEnd
		}
		if _, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points}); err != nil {
			p.Fatal(err)
		}
		kind = input.DispatchTouchEventTypeTouchMove
	}
}

// drag moves one finger in a straight line.
func (p *tab) drag(x, y, dx, dy float64) {
	p.Helper()
	var steps [][][2]float64
	for k := range 6 {
		f := float64(k) / 5
		steps = append(steps, [][2]float64{{x + f*dx, y + f*dy}})
	}
	p.touch(steps...)
}

func (p *tab) value(field string) string {
	p.Helper()
	return js[string](p, fmt.Sprintf(`document.getElementById('form').elements[%q].value`, field))
}

func (p *tab) text(id string) string {
	p.Helper()
	return js[string](p, fmt.Sprintf(`document.getElementById(%q).innerText`, id))
}

// numbers waits until the numbers at first sight have these words.
func (p *tab) numbers(words string) {
	p.Helper()
	p.until(words, fmt.Sprintf(`document.getElementById('numbers').innerText.replaceAll('\u00a0', ' ').includes(%q)`, words))
}

// nextAnswer gives a function that waits for an answer to come that had not come before, and to be shown.
func (p *tab) nextAnswer() func() {
	p.Helper()
	answers := js[int](p, `performance.getEntriesByName('answered').length`)
	return func() {
		p.Helper()
		p.until("an answer", fmt.Sprintf(`performance.getEntriesByName('answered').length > %d && document.getElementById('busy').hidden`, answers))
	}
}

// Each trace has its own volts; a tap on the picture chooses it; with both known both are read side by side.
func TestEachTraceHasItsOwnSettings(t *testing.T) {
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 1280)
		p.choose("pair-colour.jpg")
		p.fill("volts_per_box", "2V", "time_per_box", "5ms")
		p.numbers("20.00")
		first := js[string](p, `document.querySelector('#trace-choices input:checked').value`)
		p.do(chromedp.MouseClickXY(p.along("#over .hit", 0.3)))
		p.until("the other trace is chosen", fmt.Sprintf(`document.querySelector('#trace-choices input:checked').value !== %q`, first))
		p.until("its own volts are not known", `document.getElementById('form').elements.volts_per_box.value === ''
			&& document.querySelector('[data-kind="reading.scales_unknown"]') !== null`)
		if got := p.value("time_per_box"); got != "5ms" {
			t.Errorf("the time a box is both's, and is %q", got)
		}
		p.fill("volts_per_box", "1V")
		p.until("both are read", `document.querySelectorAll('#numbers .number').length === 3`)
		p.numbers("phase difference")
		p.shot("two-traces-" + strings.ToLower(t.Name()[strings.LastIndex(t.Name(), "/")+1:]))
		p.do(chromedp.MouseClickXY(p.along("#over .hit", 0.3)))
		p.until("the first trace's volts are shown", `document.getElementById('form').elements.volts_per_box.value === '2V'`)
		js[bool](p, `((f) => { f.value = ''; return f.dispatchEvent(new Event('input', {bubbles: true})); })(document.getElementById('form').elements.volts_per_box)`)
		p.until("the second is not read beside one without volts", `document.querySelectorAll('#numbers .number').length === 1`)
		p.do(chromedp.Click("#undo"))
		p.until("both are read again", `document.querySelectorAll('#numbers .number').length === 3`)
	})
}

// A sample with a list of traces shows the settings of each.
func TestASampleOfTwoTraces(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.do(chromedp.Click("#samples summary"))
	p.until("the samples are there", `document.querySelectorAll('#sample-list button').length > 5`)
	p.shot("samples-390-light")
	js[bool](p, `([...document.querySelectorAll('#sample-list button')].find((b) => b.innerText.includes('two traces')).click(), true)`)
	p.until("both are read", `document.querySelectorAll('#numbers .number').length === 3`)
	if got := p.value("volts_per_box"); got != "2V" {
		t.Errorf("trace a has %q", got)
	}
	p.do(chromedp.Click(`#trace-choices label:has(input[value=b])`))
	p.until("trace b has its own", `document.getElementById('form').elements.volts_per_box.value === '1V'`)
	p.until("both are still read", `document.querySelectorAll('#numbers .number').length === 3 && document.getElementById('busy').hidden`)
}

// The part that is used is chosen on the graph: by mouse, by finger, by arrow keys, and all of it again.
func TestTheWindowIsDraggedOnTheGraph(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.numbers("10.336")
	x, y := p.middle("#end-from .reach")
	p.drag(x, y, 100, 0)
	p.until("the window begins later", `document.getElementById('form').elements.from.value !== ''`)
	seconds := func(field string) (s float64) {
		if _, err := fmt.Sscanf(p.value(field), "%fs", &s); err != nil {
			t.Fatalf("%s is %q", field, p.value(field))
		}
		return s
	}
	// The graph is 460 units wide on 358 px, of which 396 are 50 s: 100 px are 16.2 s.
	if got := seconds("from"); math.Abs(got-16.2) > 1 {
		t.Errorf("dragged 100 px: from %g s", got)
	}
	p.until("it is fitted again", `!document.getElementById('numbers').innerText.includes('10.336')`)
	p.shot("window-390-light")
	x, y = p.middle("#end-to .reach")
	p.do(chromedp.DragAndDropXY(x, y, x-60, y, 4))
	p.until("the window ends earlier", `document.getElementById('form').elements.to.value !== ''`)
	before := seconds("to")
	js[bool](p, `(document.getElementById('end-to').focus(), true)`)
	p.do(chromedp.KeyEvent(kb.ArrowLeft), chromedp.KeyEvent(kb.ArrowLeft))
	p.until("the keys moved it", fmt.Sprintf(`document.getElementById('form').elements.to.value !== %q`, p.value("to")))
	if got := seconds("to"); !(got < before && got > before-2) {
		t.Errorf("two arrow keys moved the end from %g to %g s", before, got)
	}
	p.until("the answer is there", `document.getElementById('busy').hidden && !document.getElementById('whole').disabled`)
	if got := js[string](p, `document.activeElement.id`); got != "end-to" {
		t.Errorf("after the answer the focus is on %q", got)
	}
	p.do(chromedp.Click("#whole"))
	p.numbers("10.336")
	if p.value("from")+p.value("to") != "" {
		t.Errorf("all of it: from %q to %q", p.value("from"), p.value("to"))
	}
}

// The ground line is dragged on the photo, and moved by keys; undo takes it back.
func TestTheGroundLineIsDraggedOnThePhoto(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.numbers("10.336")
	x, y := p.middle("#over .ground-handle .reach")
	p.drag(x, y, 0, -30)
	p.until("ground is said", `document.querySelector('[name=ground-how]:checked').value === 'at'`)
	p.until("it is asked for", `document.getElementById('undo').disabled === false && document.getElementById('busy').hidden`)
	var at float64
	if _, err := fmt.Sscan(js[string](p, `document.getElementById('ground-at').value`), &at); err != nil || at < -3.2 || at > -2.2 {
		t.Errorf("dragged 30 px up, about a box and a quarter: %g, %v", at, err)
	}
	js[bool](p, `(document.querySelector('#over .ground-handle').focus(), true)`)
	next := p.nextAnswer()
	p.do(chromedp.KeyEvent(kb.ArrowUp))
	p.until("a key moved it by a twentieth of a box", fmt.Sprintf(`Math.abs(document.getElementById('ground-at').value - %g) < 0.026
		&& document.getElementById('ground-at').value > %g`, at+0.05, at))
	next()
	p.until("the doubt is there", `document.querySelector('[data-kind="calibrate.ground_against_mark"]') !== null`)
	p.shot("ground-390-light")
	p.do(chromedp.Click(`[data-kind="calibrate.ground_against_mark"]`))
	p.until("the mark is taken", `document.querySelector('[name=ground-how]:checked').value === ''`)
	p.numbers("10.336")
	p.do(chromedp.Click("#undo"))
	p.until("the hand is taken again", `document.querySelector('[name=ground-how]:checked').value === 'at'`)
}

// Levels are tapped on the graph and on the photo; their times are read.
func TestLevelsAreTapped(t *testing.T) {
	p := newTab(t, served(t), 1280)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.numbers("10.336")
	p.do(chromedp.Click("#tap-level"))
	x, y := p.middle(".graph svg")
	p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y))
	p.until("a line follows", `document.querySelector('.graph .level').getAttribute('d') !== '' && document.querySelector('.graph .level-says').textContent.endsWith('V')`)
	told := js[string](p, `document.querySelector('.graph .level-says').textContent`)
	p.do(chromedp.MouseClickXY(x, y))
	p.until("the level is asked for", fmt.Sprintf(`document.getElementById('form').elements.at.value === %q`, told))
	p.until("its time is told", fmt.Sprintf(`document.querySelector('[data-of=h-readings]')?.textContent.includes(%q)`, strings.TrimSuffix(told, "V")))
	p.do(chromedp.Click("#level"))
	x, y = p.middle("#over")
	p.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y))
	p.until("a line follows on the photo", `document.querySelector('#over .level').getAttribute('d') !== ''`)
	p.shot("level-1280-light")
	p.do(chromedp.MouseClickXY(x, y))
	p.until("both are asked for", `document.getElementById('form').elements.at.value.split(',').length === 2`)
	// The middle of the photo is near the centre of the display, 4 boxes of 1.5 V above ground.
	var first, second float64
	if _, err := fmt.Sscanf(p.value("at"), "%fV,%fV", &first, &second); err != nil || math.Abs(second-6) > 1.5 {
		t.Errorf("levels %q, %v", p.value("at"), err)
	}
	p.until("the answer is there", `document.getElementById('busy').hidden && !document.body.classList.contains('levels')`)
	p.do(chromedp.Click("#undo"))
	p.until("the second is taken back", fmt.Sprintf(`document.getElementById('form').elements.at.value === %q`, told))
}

// The photo is made larger by wheel, keys, double click, two fingers and buttons; the handles keep their size.
func TestThePhotoIsMadeLarger(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.choose("slow-pale.jpg")
	scale := func() float64 {
		return js[float64](p, `document.getElementById('stack').getBoundingClientRect().width / document.getElementById('frame').clientWidth`)
	}
	near := func(what string, want float64) {
		t.Helper()
		if got := scale(); math.Abs(got-want) > 0.03*want {
			t.Errorf("%s: %.2f times as large, not %.2f", what, got, want)
		}
	}
	handle := `Math.round(document.querySelector('#over .ground-handle .reach').getBoundingClientRect().width)`
	size, high := js[float64](p, handle), js[float64](p, `document.getElementById('frame').offsetHeight`)
	near("at first", 1)
	x, y := p.middle("#frame")
	p.touch([][2]float64{{x - 20, y}, {x + 20, y}}, [][2]float64{{x - 30, y}, {x + 30, y}}, [][2]float64{{x - 40, y}, {x + 40, y}})
	near("two fingers", 2)
	if got := js[float64](p, handle); math.Abs(got-size) > 1 {
		t.Errorf("a handle of %g px became one of %g", size, got)
	}
	if got := js[float64](p, `document.getElementById('frame').offsetHeight`); math.Abs(got-high) > 1 {
		t.Errorf("the frame of %g px became one of %g", high, got)
	}
	p.shot("zoomed-390-light")
	js[bool](p, `(document.getElementById('frame').focus(), true)`)
	p.do(chromedp.KeyEvent("0"))
	near("0", 1)
	p.do(chromedp.KeyEvent("+"), chromedp.KeyEvent("+"))
	near("+ +", 1.5625)
	p.do(chromedp.KeyEvent("-"))
	near("-", 1.25)
	p.do(chromedp.KeyEvent("0"))
	js[bool](p, `(document.getElementById('frame').dispatchEvent(new WheelEvent('wheel', {deltaY: -200, ctrlKey: true, cancelable: true, bubbles: true, clientX: 100, clientY: 300})), true)`)
	near("the wheel", math.Exp(0.4))
	p.do(chromedp.Click("#whole-photo"))
	near("whole", 1)
	// The point that is double-clicked stays where it is.
	x, y = p.middle("#frame")
	under := fmt.Sprintf(`(() => { const r = document.getElementById('stack').getBoundingClientRect(); return [(%g - r.left) / r.width, (%g - r.top) / r.height]; })()`, x+50, y+20)
	before := js[[]float64](p, under)
	p.do(chromedp.MouseClickXY(x+50, y+20, chromedp.ClickCount(2)))
	near("double click", 2.5)
	if after := js[[]float64](p, under); math.Hypot(after[0]-before[0], after[1]-before[1]) > 0.01 {
		t.Errorf("the point at %v moved to %v", before, after)
	}
	p.do(chromedp.Click("#smaller"))
	near("smaller", 2.5/1.6)
}

// On a phone a corner follows the finger under the loupe, which keeps out of its way; undo takes it back.
func TestACornerFollowsTheFinger(t *testing.T) {
	p := newTab(t, served(t), 390, chromedp.EmulateMobile)
	p.choose("slow-pale.jpg")
	p.do(chromedp.Click("#corners"))
	place := `(() => { const c = document.querySelectorAll('#over .corner')[1]; return [+c.getAttribute('cx'), +c.getAttribute('cy')]; })()`
	before := js[[]float64](p, place)
	at := js[[]float64](p, `(() => { const c = document.querySelectorAll('#over .corner')[1]; c.scrollIntoView({block: 'center'});
		const r = c.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2, scrollY, r.width]; })()`)
	if at[3] < 24 {
		t.Errorf("a corner's handle is %g px wide on the screen", at[3])
	}
	fingers := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		t.Helper()
		if _, err := chromedp.Call(p.ctx, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points}); err != nil {
			t.Fatal(err)
		}
	}
	fingers(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: at[0] + 3, Y: at[1] + 2})
	fingers(input.DispatchTouchEventTypeTouchMove, &input.TouchPoint{X: at[0] - 5, Y: at[1] + 6})
	fingers(input.DispatchTouchEventTypeTouchMove, &input.TouchPoint{X: at[0] - 12, Y: at[1] + 10})
	p.until("the loupe shows it", `!document.getElementById('loupe').hidden`)
	if !js[bool](p, `document.getElementById('loupe').classList.contains('left')`) {
		t.Error("the loupe is where the finger is")
	}
	moved := js[[]float64](p, place)
	unit := js[float64](p, `document.getElementById('over').viewBox.baseVal.width / document.getElementById('over').clientWidth`)
	if dx, dy := (moved[0]-before[0])/unit, (moved[1]-before[1])/unit; math.Abs(dx+15) > 2 || math.Abs(dy-8) > 2 {
		t.Errorf("a finger that moved by -15, 8 px moved the corner by %.1f, %.1f", dx, dy)
	}
	if got := js[float64](p, `scrollY`); got != at[2] {
		t.Errorf("the page scrolled from %g to %g", at[2], got)
	}
	p.shot("loupe-390-light")
	fingers(input.DispatchTouchEventTypeTouchEnd)
	p.until("the loupe is gone", `document.getElementById('loupe').hidden`)
	p.until("it is asked for", `!document.getElementById('again').disabled && document.getElementById('busy').hidden`)
	p.do(chromedp.Click("#undo"))
	p.until("the corner is where it was", fmt.Sprintf(`document.getElementById('again').disabled && (() => { const [x, y] = %s; return Math.hypot(x - %f, y - %f) < 0.1; })()`, place, before[0], before[1]))
}
