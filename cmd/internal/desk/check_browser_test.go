//go:build browser

package desk_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"quadrille/vision/synth"
)

// drawingOfTimer is a photo of the mist timer's slow discharge drawn by hand, so many boxes too high.
func drawingOfTimer(t *testing.T, high float64) []byte {
	t.Helper()
	b, _, err := synth.MistSketch(high).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A drawing is chosen, its verdict is told with what is wrong and by how much, the display is laid on it, and a setting is
// asked for again; a drawing that holds is told to.
func TestADrawingIsHeldAgainstThePhoto(t *testing.T) {
	wrong, right := written(t, "wrong.jpg", drawingOfTimer(t, 0.5)), written(t, "right.jpg", drawingOfTimer(t, 0))
	eachCore(t, func(t *testing.T, address string) {
		p := newTab(t, address, 390)
		p.choose("slow-pale.jpg")
		p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
		p.until("the offer", `!document.getElementById('drawn').hidden`)
		p.do(chromedp.SetUploadFiles("#sketch", wrong))
		p.until("the verdict", `document.getElementById('sketch-says').textContent.includes('box too high')`)
		p.until("its picture", `document.querySelectorAll('#sketch-says .over .found').length === 1`)
		if says := p.text("sketch-short"); says != "The drawing departs from the screen by more than 0.2 box." {
			t.Errorf("it says %q", says)
		}
		p.looked("14-drawing-wrong")
		p.accessible()
		js[bool](p, fmt.Sprintf(`(() => { const e = document.getElementById('sketch-tolerance'); e.value = %q; e.dispatchEvent(new Event('input')); return true; })()`, "1"))
		p.until("the tolerance", `document.getElementById('sketch-short').textContent.includes('agrees')`)
		js[bool](p, `(() => { const e = document.getElementById('sketch-tolerance'); e.value = ''; e.dispatchEvent(new Event('input')); return true; })()`)
		p.do(chromedp.SetUploadFiles("#sketch", right))
		p.until("the right one", `document.getElementById('sketch-short').textContent.includes('agrees with the screen: nowhere')`)
		p.looked("15-drawing-right")
	})
}
