//go:build browser

package desk_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"quadrille/cmd/internal/experiment"
	"quadrille/cmd/internal/notebook"
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

// A drawing is chosen, its verdict is told with what is wrong and by how much, the display is laid on it, and a setting
// is asked for again; a drawing that holds is told to.
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

// A drawing and how it was drawn are in the notebook that is saved: the command line holds it against its photo, and
// the page opens it again. One that was taken away is not.
func TestADrawingIsSavedWithItsPhoto(t *testing.T) {
	high := written(t, "drawn on paper.jpg", drawingOfTimer(t, 0.5))
	p := newTab(t, served(t), 390)
	p.choose("slow-pale.jpg")
	p.fill("volts_per_box", "1.5V", "time_per_box", "5s")
	p.until("the offer", `!document.getElementById('drawn').hidden`)
	p.do(chromedp.SetUploadFiles("#sketch", high))
	p.set("sketch-tolerance", "1")
	p.until("the verdict", `document.getElementById('sketch-short').textContent.includes('agrees')`)
	saved := p.saved()

	n, err := notebook.Read(os.DirFS(filepath.Dir(saved)), "notebook.zip")
	if err != nil {
		t.Fatal(err)
	}
	if one := n.Photos[0]; one.Sketch != "drawn on paper.jpg" || one.Placing.Tolerance != "1" {
		t.Errorf("the notebook has the drawing %q, held to %q", one.Sketch, one.Placing.Tolerance)
	}
	e, err := experiment.Read(t.Context(), n, experiment.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if h := e.Photos[0].Sketch; h == nil || h.Check == nil || !h.Check.Within {
		t.Errorf("the command line holds it: %+v", h)
	}

	q := newTab(t, served(t), 1280)
	q.do(chromedp.SetUploadFiles("#load", []string{saved}))
	q.until("the verdict again", `document.getElementById('sketch-short').textContent.includes('agrees')`)
	if held := js[string](q, `document.getElementById('sketch-tolerance').value`); held != "1" {
		t.Errorf("opened again, it is held to %q", held)
	}
	q.do(chromedp.Click("#no-sketch"))
	q.until("it is gone", `document.getElementById('sketch-fields').hidden && document.getElementById('sketch-says').textContent === ''`)
	if n, err = notebook.Read(os.DirFS(filepath.Dir(q.saved())), "notebook.zip"); err != nil || n.Photos[0].Sketch != "" || n.Photos[0].Placing.Tolerance != "" {
		t.Errorf("taken away, the notebook still has %q (%v)", n.Photos[0].Sketch, err)
	}
}
