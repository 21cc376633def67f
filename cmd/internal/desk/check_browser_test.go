//go:build browser

package desk_test

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// drawingOfTimer is a drawing of the mist timer's slow discharge on squares of 5 mm, two a box, with the screen's corner at
// 2, 2, that lies so many boxes too high.
func drawingOfTimer(t *testing.T, high float64) []byte {
	t.Helper()
	s := synth.RandomSketch(0)
	s.Ruling = synth.Rulings()[0]
	s.Cols, s.Rows, s.From, s.To, s.Zero, s.High = 24, 20, 2, 22, 2, 15
	s.Axes, s.Ticks, s.Letters, s.Second, s.Dimension, s.BackPage, s.Shadow, s.Smudge = true, true, false, false, false, 0, 0, 0
	s.Wobble, s.Zoom, s.Width, s.Height = 0.02, 0.95, 2000, 1500
	sig := synth.MistSlow(geom.Frame{Cols: 10, Rows: 8})
	for x := 0.0; x <= 10; x += 0.01 {
		s.Meant = append(s.Meant, geom.Box{X: 2 + 2*x, Y: 2 + 2*(4+sig.GroundBox+sig.Volts(5*x)/sig.VoltsPerBox+high)})
	}
	b, _, err := s.JPEG()
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
		p.shot("drawing-wrong-390")
		p.accessible()
		js[bool](p, fmt.Sprintf(`(() => { const e = document.getElementById('sketch-tolerance'); e.value = %q; e.dispatchEvent(new Event('input')); return true; })()`, "1"))
		p.until("the tolerance", `document.getElementById('sketch-short').textContent.includes('agrees')`)
		js[bool](p, `(() => { const e = document.getElementById('sketch-tolerance'); e.value = ''; e.dispatchEvent(new Event('input')); return true; })()`)
		p.do(chromedp.SetUploadFiles("#sketch", right))
		p.until("the right one", `document.getElementById('sketch-short').textContent.includes('agrees with the screen: nowhere')`)
		p.shot("drawing-right-390")
	})
}
