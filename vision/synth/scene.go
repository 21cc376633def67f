// Package synth simulates photographs of an oscilloscope's display whose truth is known exactly: for
// tests, for studies of the uncertainties, and for the demonstration.
//
// The display is built first: a liquid-crystal panel as the picture elements that its instrument
// would light, or a tube as beam and graticule. Each photo pixel then collects the light of the part
// of the display plane that the lens and the perspective put under it, an exact area integral for
// panels, so that lines fall where the truth says to a thousandth of a pixel. The camera adds what
// cameras add, in the order of physics: reflections, fall-off, defocus, colour mosaic, photon and
// read noise, sharpening, transfer curve, JPEG.
//
//	Signal -> record -> panel (boxes) -> view (homography, lens) -> light on the sensor -> sRGB -> file
//
// The simulator never uses the detectors that it tests, and they never use it.
package synth

import (
	"errors"
	"fmt"
	"image"
	"math"
	"slices"

	"quadrille/vision/geom"
)

// A Scene is one display, what it shows, and the camera before it. The zero value is the mist
// timer's slow discharge on a colour panel, seen straight on by a perfect camera.
type Scene struct {
	Seed    uint64 // fixes everything that is random
	Display Display
	Signals []Signal // one a trace, at most 4; nil means MistSlow
	// TimePerBox in s; 0 means 5 s, that of MistSlow.
	TimePerBox float64
	// Pen is where a slow sweep is writing, in boxes from the centre: behind it is the sweep's new
	// trace, ahead of it a gap of GapBoxes and then the sweep before. GapBoxes = 0 means a whole trace.
	Pen, GapBoxes float64
	// Against draws the second signal against the first, x against y, and no trace in time.
	Against     bool
	Mat         bool // a ruled cutting mat covers the bench: a lattice that is not the display's
	Cables      int  // leads before the instrument's front, beside the screen
	CableAcross bool // one more lead hangs across the screen
	Finger      bool // a finger points at the screen from the right or from below, over the frame's rim
	Camera      Camera
}

// A Kind is a sort of display.
type Kind int

// The kinds of display.
const (
	Colour Kind = iota // colour panel, dark field
	Pale               // monochrome panel, dark on pale
	Blue               // monochrome panel, pale on blue
	Tube               // phosphor tube with an engraved graticule
)

var kindNames = [...]string{"colour", "pale", "blue", "tube"}

func (k Kind) String() string { return kindNames[k] }

// ParseKind is the inverse of Kind.String.
func ParseKind(s string) (Kind, error) {
	for i, n := range kindNames {
		if s == n {
			return Kind(i), nil
		}
	}
	return 0, fmt.Errorf("display %q is none of %q", s, kindNames)
}

// A Grid is how a panel draws its graticule.
type Grid int

// The ways to draw a graticule.
const (
	Dotted Grid = iota // a dot at each minor division of every line
	Fine               // dots close together, ten to a box
	Solid
	// No lines run across the field on these, which only panels draw:
	Crosses // a small cross at each crossing
	Axes    // the two centre lines, with ticks across them
	Ticks   // ticks inside the frame
)

var gridNames = [...]string{"dotted", "fine", "solid", "crosses", "axes", "ticks"}

func (g Grid) String() string { return gridNames[g] }

// ParseGrid is the inverse of Grid.String.
func ParseGrid(s string) (Grid, error) {
	for i, n := range gridNames {
		if s == n {
			return Grid(i), nil
		}
	}
	return 0, fmt.Errorf("grid %q is none of %q", s, gridNames)
}

// A Display is the instrument's screen. The zero value is a colour panel of 10 × 8 boxes with a
// dotted grid, five minor divisions to a box.
type Display struct {
	Kind  Kind
	Frame geom.Frame // zero means 10 × 8
	// Centred counts the vertical lines from the centre line, so that an odd count of columns has
	// half a box at each side.
	Centred      bool
	Grid         Grid
	Minor        int        // minor divisions to a box; 0 means 5, < 0 none
	MinorDots    bool       // dots at every crossing of minor divisions
	EvenTicks    bool       // of Axes and Ticks: those at whole boxes are no longer than the others
	GridLight    float64    // contrast of the grid, 0..1; 0 means 0.35
	GridColour   [3]float32 // of the grid on a colour panel, linear light 0..1; zero means a cool grey
	BarColour    [3]float32 // of the panel outside the frame on a colour panel, likewise; zero means nearly black
	PixelsPerBox int        // picture elements to a box, even; 0 means 50. Tubes have none
	Stroke       int        // thickness of the trace in picture elements, odd; 0 means 3
	Aspect       float64    // width of a box over its height; 0 means 1
	// Margins of the lit panel round the frame, boxes: left, right, top, bottom; zero means
	// 0.55, 0.55, 0.75 and 0.95. Words that do not fit are left out.
	Margins [4]float64
	Graded  bool    // the trace is brighter where the signal stays longer, as after many sweeps
	Table   bool    // a table of readings over the upper two rows of boxes
	Menu    bool    // a menu over the rightmost boxes
	Helpers bool    // two upright helper lines, as for readings by eye
	Panels  []Panel // what else lies over grid and traces; on a tube only their words, written by its beam
	Cursors []Cursor
	Trigger Trigger
	Scales  ScaleForm // how the settings are written below the frame
	// Overview shows the whole record, small, in a strip above the frame, as when a part of it is drawn out.
	Overview bool
	Dots     bool    // samples are drawn as dots and not joined
	Haze     float64 // light of older sweeps behind the last one, 0..1
	Blank    bool    // switched on, but without graticule, traces and words: nothing to be read
	// Of tubes only:
	BeamWidth float64 // standard deviation of the spot, box; 0 means 0.022
	Sag       float64 // curvature of the face, 1/box: a point r boxes out lies Sag·r²/2 deeper
	Depth     float64 // distance of the phosphor behind the graticule, box (parallax)
	Lit       bool    // lines lit from the rim, brighter than the field; otherwise dark
}

// A Camera is the phone. The zero value looks straight at the display, without any fault.
type Camera struct {
	Width, Height    int        // px of the upright photo; 0 means 2000 × 1500
	Fill             float64    // share of the photo that the frame takes along the tighter side; 0 means 0.6
	Yaw, Pitch, Roll float64    // rad; turns of the display about its upright, level and viewing axis
	OffX, OffY       float64    // place of the frame's centre, in widths and heights from the photo's centre
	Focal            float64    // focal length over the photo's long side; 0 means 0.75, a phone's main camera
	K1               float64    // radial term, as geom.Radial about the photo's centre, scale half the diagonal
	K2               float64    // a second radial term: r is seen at r·(1 + K1·r² + K2·r⁴); what one term cannot model
	Blur             float64    // px; standard deviation of a Gaussian blur
	Disc             float64    // px; radius of the disc into which a lens out of focus spreads a point
	Halo             float64    // share of the light that the lens scatters widely, 0..0.2
	Glare            float64    // peak light of soft reflections, over the white of the display
	Lamps            int        // reflected lamps among them, with edges
	Veil             float64    // even ambient light reflected by the screen, over the white of the display
	Dust             int        // specks on the glass
	Vignette         float64    // loss of light in the corners, 0..1
	Balance          [3]float64 // gains of red, green and blue; zero means 1, 1, 1
	Mixing           float64    // share of each colour that the sensor takes for each of the others, 0..0.3
	Exposure         float64    // linear gain; 0 means 1: the display's white is the file's white
	FullWell         float64    // electrons at the file's white; 0 means no photon noise
	ReadNoise        float64    // electrons
	Mosaic           bool       // the sensor sees one colour a pixel, the others are interpolated
	Bands            float64    // share of the display's light that is lost in dark bands across it, as of a screen that flickers, 0..1
	Tone             float64    // how far the brightness of neighbourhoods is evened out, as phones do it, 0..1
	Denoise          float64    // strength of the smoothing that keeps edges, 0..1
	Sharpen          float64    // strength of the unsharp mask, about 0..1
	Contrast         float64    // extra slope of the transfer curve in the middle, 0..0.5
	Quality          int        // JPEG, 1..100; 0 means 90
	Orientation      int        // EXIF 1..8 of the stored picture; 0 means 1
}

// Phone is an ordinary phone held well: a little tilt, blur, noise and reflection.
func Phone() Camera {
	return Camera{Width: 2000, Height: 1504, Fill: 0.7, Yaw: 0.07, Pitch: -0.05, Roll: 0.01, OffX: -0.02, OffY: 0.01, K1: -0.012, K2: 0.004,
		Blur: 0.7, Halo: 0.03, Glare: 0.03, Veil: 0.006, Dust: 20, Vignette: 0.2, Balance: [3]float64{1.03, 1, 0.95}, Mixing: 0.05, Exposure: 1.2,
		FullWell: 5000, ReadNoise: 3, Mosaic: true, Sharpen: 0.35, Contrast: 0.1, Quality: 88}
}

func (s Scene) withDefaults() Scene {
	d, c := &s.Display, &s.Camera
	if d.Frame == (geom.Frame{}) {
		d.Frame = geom.Frame{Cols: 10, Rows: 8}
	}
	setInt := func(v *int, to int) {
		if *v == 0 {
			*v = to
		}
	}
	set := func(v *float64, to float64) {
		if *v == 0 {
			*v = to
		}
	}
	setInt(&d.Minor, 5)
	if d.Kind == Pale || d.Kind == Blue { // elements are few there, and on or off
		if (d.Frame.Cols|d.Frame.Rows)%2 == 0 {
			setInt(&d.PixelsPerBox, 25)
		}
		setInt(&d.PixelsPerBox, 26)
		set(&d.GridLight, 0.8)
	}
	setInt(&d.PixelsPerBox, 50)
	set(&d.GridLight, 0.35)
	if d.PixelsPerBox < 40 {
		setInt(&d.Stroke, 1)
	}
	setInt(&d.Stroke, 3)
	set(&d.Aspect, 1)
	set(&d.BeamWidth, 0.022)
	if d.Margins == ([4]float64{}) {
		d.Margins = [4]float64{0.55, 0.55, 0.75, 0.95}
	}
	if s.Signals == nil {
		s.Signals = []Signal{MistSlow(d.Frame)}
	}
	set(&s.TimePerBox, 5)
	setInt(&c.Width, 2000)
	setInt(&c.Height, 1500)
	set(&c.Fill, 0.6)
	set(&c.Focal, 0.75)
	set(&c.Exposure, 1)
	setInt(&c.Quality, 90)
	setInt(&c.Orientation, 1)
	if c.Balance == ([3]float64{}) {
		c.Balance = [3]float64{1, 1, 1}
	}
	return s
}

// Validate says what is impossible in the scene; nil if it can be shot.
func (s Scene) Validate() error {
	s = s.withDefaults()
	d, c := s.Display, s.Camera
	for _, v := range []float64{s.TimePerBox, s.Pen, s.GapBoxes, d.GridLight, d.Aspect, d.BeamWidth, d.Sag, d.Depth,
		c.Fill, c.Yaw, c.Pitch, c.Roll, c.OffX, c.OffY, c.Focal, c.K1, c.K2, c.Blur, c.Disc, c.Halo, c.Glare, c.Veil, c.Vignette, c.Mixing, c.Exposure,
		c.FullWell, c.ReadNoise, c.Sharpen, c.Contrast, c.Bands, c.Tone, c.Denoise, d.Haze} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return errors.New("a value of the scene is not a finite number")
		}
	}
	switch {
	case d.Kind < Colour || d.Kind > Tube:
		return fmt.Errorf("display kind %d is unknown", d.Kind)
	case d.Frame.Cols < 2 || d.Frame.Cols > 20 || d.Frame.Rows < 2 || d.Frame.Rows > 20:
		return fmt.Errorf("a frame of %d × %d boxes is outside 2 to 20", d.Frame.Cols, d.Frame.Rows)
	case d.PixelsPerBox < 10 || d.PixelsPerBox > 200 || d.PixelsPerBox*d.Frame.Cols%2 != 0 || d.PixelsPerBox*d.Frame.Rows%2 != 0:
		return fmt.Errorf("%d picture elements to a box: must be 10 to 200, and whole to half a frame", d.PixelsPerBox)
	case d.Stroke < 1 || d.Stroke%2 == 0 || d.Stroke > d.PixelsPerBox:
		return fmt.Errorf("a stroke of %d picture elements: must be odd and less than a box", d.Stroke)
	case d.Minor > 10:
		return fmt.Errorf("%d minor divisions to a box: at most 10", d.Minor)
	case d.Aspect < 0.4 || d.Aspect > 2.5:
		return fmt.Errorf("boxes %g times as wide as high: must be 0.4 to 2.5", d.Aspect)
	case len(s.Signals) > len(tracePalette):
		return fmt.Errorf("%d traces: at most %d", len(s.Signals), len(tracePalette))
	case s.Against && len(s.Signals) != 2:
		return fmt.Errorf("%d signals against one another: must be two", len(s.Signals))
	case !(s.TimePerBox > 0):
		return fmt.Errorf("%g s a box: must be positive", s.TimePerBox)
	case c.Width < 64 || c.Height < 64 || c.Width*c.Height > 80e6:
		return fmt.Errorf("a photo of %d × %d pixels: sides from 64, at most 80 megapixels", c.Width, c.Height)
	case !(c.Fill > 0.02 && c.Fill < 4):
		return fmt.Errorf("the frame fills %g of the photo: must be 0.02 to 4", c.Fill)
	case !(c.Focal > 0.2 && c.Focal < 20):
		return fmt.Errorf("a focal length of %g long sides: must be 0.2 to 20", c.Focal)
	case math.Abs(c.Yaw) > 1.2 || math.Abs(c.Pitch) > 1.2:
		return errors.New("the display is turned away by more than 69 degrees")
	case math.Abs(c.K1) > 0.2 || math.Abs(c.K2) > 0.05:
		return fmt.Errorf("radial terms of %g and %g: must lie within ±0.2 and ±0.05", c.K1, c.K2)
	case c.Blur < 0 || c.Blur > 100 || c.Disc < 0 || c.Disc > 100:
		return fmt.Errorf("a blur of %g px and a disc of %g px: must be 0 to 100", c.Blur, c.Disc)
	case c.Halo < 0 || c.Halo > 1 || c.Vignette < 0 || c.Vignette > 1 || c.Mixing < 0 || c.Mixing > 0.3 || c.Contrast < 0 || c.Contrast > 0.5:
		return errors.New("halo and vignette must be 0 to 1, mixing 0 to 0.3, contrast 0 to 0.5")
	case c.Bands < 0 || c.Bands > 1 || c.Tone < 0 || c.Tone > 1 || c.Denoise < 0 || c.Denoise > 1 || d.Haze < 0 || d.Haze > 1:
		return errors.New("bands, tone, denoising and haze must be 0 to 1")
	case c.Glare < 0 || c.Veil < 0 || c.Dust < 0 || c.Lamps < 0 || c.Sharpen < 0 || s.Cables < 0:
		return errors.New("glare, veil, dust, lamps, cables and sharpening cannot be negative")
	case min(d.Margins[0], d.Margins[1], d.Margins[2], d.Margins[3]) < 0 || max(d.Margins[0], d.Margins[1], d.Margins[2], d.Margins[3]) > 10:
		return errors.New("margins of the panel: must be 0 to 10 boxes")
	case slices.ContainsFunc(d.Panels, func(p Panel) bool { return !(p.Left < p.Right && p.Bottom < p.Top) }):
		return errors.New("a panel over the grid has no size")
	case c.Exposure < 0 || c.FullWell < 0 || c.ReadNoise < 0:
		return errors.New("exposure, full well and read noise cannot be negative")
	case c.Quality < 1 || c.Quality > 100:
		return fmt.Errorf("JPEG quality %d: must be 1 to 100", c.Quality)
	case c.Orientation < 1 || c.Orientation > 8:
		return fmt.Errorf("EXIF orientation %d: must be 1 to 8", c.Orientation)
	}
	for i, sig := range s.Signals {
		if err := sig.validate(); err != nil {
			return fmt.Errorf("trace %s: %w", traceName(i), err)
		}
	}
	if _, err := newView(s); err != nil {
		return err
	}
	return nil
}

// Shoot takes the photo: the upright picture in sRGB, and its truth. The same scene gives the same
// picture on one kind of machine. It panics on a scene that Validate refuses.
func (s Scene) Shoot() (*image.RGBA, Truth) {
	truth, err := s.Truth()
	if err != nil {
		panic("synth: " + err.Error())
	}
	s = s.withDefaults()
	v, _ := newView(s) // Validate has tried it
	return develop(s, expose(s, v, panelOf(s, v))), truth
}

// Truth is the truth of the photo, without taking it. Its error is Validate's.
func (s Scene) Truth() (Truth, error) {
	if err := s.Validate(); err != nil {
		return Truth{}, err
	}
	s = s.withDefaults()
	v, err := newView(s)
	if err != nil {
		return Truth{}, err
	}
	return truthOf(s, v), nil
}

func panelOf(s Scene, v *view) panel {
	if s.Display.Kind == Tube {
		return newTube(s, v)
	}
	return newLCD(s)
}

func traceName(i int) string { return string(rune('a' + i)) }
