package report_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// checkOf holds the fixed display against itself as its drawing, one square a box, which was said to lie so many boxes
// higher on the paper than it does.
func checkOf(t *testing.T, high string) (*check.Check, *wire.Document) {
	t.Helper()
	drawn, display := fixed(t), fixed(t)
	drawn.Photo.SHA256 = "another"
	c, err := check.Of(t.Context(), drawn, display, check.Settings{Title: "Mist timer <drawn>", SquaresPerBox: "1", Origin: "0," + high})
	if err != nil {
		t.Fatal(err)
	}
	return c, drawn
}

// grey is a picture of the drawing.
func grey(t *testing.T) report.Picture {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	return report.Picture{Name: "photo", JPEG: b.Bytes(), W: 40, H: 30}
}

// The page of a check stands alone, begins with the verdict, shows both pictures, and keeps text from outside as text.
func TestPageOfACheck(t *testing.T) {
	c, drawn := checkOf(t, "0.5")
	c.Drawing.File = `"><script>alert(1)</script>`
	files, err := report.CheckedFiles(c, report.NewOnDrawing(c, drawn, grey(t)), report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	page := string(files["page.html"])
	balanced(t, page)
	for _, bad := range []string{"http:", "https:", "<script", "<drawn>", "<link", "url("} {
		if strings.Contains(page, bad) {
			t.Errorf("the page has %q", bad)
		}
	}
	for _, want := range []string{"Mist timer &lt;drawn&gt;", "departs from the screen by more than 0.2 box", "lies 0.50 box too low", `class="apart"`,
		"Both on the display’s boxes", "The display laid on the drawing", "data:image/jpeg"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page has no %q", want)
		}
	}
	if pages, _ := sheets(t, files["page.pdf"]); pages > 3 {
		t.Errorf("%d sheets", pages)
	}
	for _, name := range []string{"overlay.svg", "drawing.svg"} {
		wellFormed(t, name, string(files[name]))
	}
	if !strings.Contains(string(files["check.json"]), `"within": false`) {
		t.Error("no verdict in the JSON")
	}
}

// A drawing that holds has no list of faults, and without a photo no picture of it.
func TestPageOfACheckThatHolds(t *testing.T) {
	c, _ := checkOf(t, "0")
	files, err := report.CheckedFiles(c, nil, report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	page := string(files["page.html"])
	balanced(t, page)
	if !strings.Contains(page, "The drawing agrees with the screen") || strings.Contains(page, `class="apart"`) || files["drawing.svg"] != nil {
		t.Error("a drawing that holds is shown as one that does not")
	}
}

// What is off by less than the tolerance is told after the verdict, and is no fault.
func TestACheckThatHoldsSaysWhatIsOff(t *testing.T) {
	c, _ := checkOf(t, "0.12")
	files, err := report.CheckedFiles(c, nil, report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	const says = "All of the drawing lies 0.12 box too low."
	page, text := string(files["page.html"]), report.CheckedText(c, 80)
	if !c.Within || !strings.Contains(page, "<li>"+says) || strings.Contains(page, `class="apart"`) || !strings.Contains(text, "  - "+says) {
		t.Errorf("it holds: %v\n%s", c.Within, text)
	}
}

// The text of a check fits the terminal, and begins with the verdict.
func TestTextOfACheckFitsTheTerminal(t *testing.T) {
	for high, begins := range map[string]string{"0": "The drawing agrees with the screen", "0.5": "The drawing departs from the"} {
		c, _ := checkOf(t, high)
		for _, width := range []int{40, 60, 80, 200} {
			text := report.CheckedText(c, width)
			if !strings.HasPrefix(text, begins) {
				t.Errorf("it begins with %.60q", text)
			}
			for line := range strings.Lines(text) {
				if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > min(max(width, 50), 80) {
					t.Errorf("width %d: %d columns: %s", width, n, line)
				}
			}
			if !regexp.MustCompile(`placed by`).MatchString(text) {
				t.Errorf("it does not say how it was placed:\n%s", text)
			}
		}
	}
}

// A difference has its sign, be it in boxes, in per cent or in volts, and both values one unit.
func TestDifferencesOfADrawingHaveTheirSign(t *testing.T) {
	c, _ := checkOf(t, "0")
	nan := wire.Number(math.NaN())
	c.Quantities = []check.Quantity{{Quantity: "v_end", Unit: "V", Display: 0, UDisplay: 0.1, Drawing: 0.87, UDrawing: 0.2, Share: nan,
		Difference: check.Difference{Value: 0.87, U: 0.2, Told: true}},
		{Quantity: "v_end", Unit: "V", Display: 0, UDisplay: 0.1, Drawing: -2, UDrawing: 0.5, Share: nan,
			Difference: check.Difference{Value: -2, U: 0.5, Told: true}}}
	text := report.CheckedText(c, 80)
	for _, want := range []string{"+870 mV", "0(100) mV", "870(200) mV", "−2.0(5) V", "−2.00 V"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
}
