package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// synthFlags are the flags of synth as typed; "" leaves the scene as it is.
type synthFlags struct {
	random, trouble                         string
	display, boxes, grid, signal            string
	volts, settlesAt, tau, frequency, knee  string
	voltsPerBox, timePerBox, ground, noise  string
	gap, megapixels, tilt, roll, fill       string
	blur, glare, exposure, quality, turning string
	seed                                    uint64
	centred, drive, replace                 bool
}

func newSynth() *cobra.Command {
	var f synthFlags
	c := &cobra.Command{
		Use:   "synth PHOTO",
		Short: "Simulate a photo of a display with known truth",
		Long: `Synth writes a simulated photo of an oscilloscope's display, and beside it, under
the same name with .json, its truth: where the graticule's lines meet, the signal
and its time constant. PHOTO ends in .jpg or .png.

Without flags it shows the delay network of a greenhouse mist timer: 22 kΩ and
470 µF charged to 9 V and let go, at 1.5 V and 5 s a box. With --signal driven it
shows the timer's fast network: 4.7 kΩ and 1 µF behind a square wave of 0 to 6 V
at 10 Hz, at 1 V and 20 ms a box.

The same flags give the same photo.

` + cautions,
		Example: `  quadrille synth mist.jpg
  quadrille synth mist.jpg --display tube --signal driven --tilt 8,-5 --seed 7
  quadrille synth any.jpg --random 12 --trouble glare`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("synth writes one photo, not %d", len(args)), "quadrille synth PHOTO"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			scene, err := f.scene()
			if err != nil {
				return err
			}
			said, err := writeSpecimen(c.Context(), args[0], scene, f.replace)
			if err != nil {
				return err
			}
			_, err = fmt.Fprintln(c.OutOrStdout(), report.Clean(said))
			return err
		},
	}
	c.Flags().SortFlags = false
	f.bind(c.Flags())
	return c
}

func (f *synthFlags) bind(fl *pflag.FlagSet) {
	fl.StringVar(&f.random, "random", "", "draw an ordinary scene by this number; other flags then change it")
	fl.StringVar(&f.trouble, "trouble", "", "add a trouble: "+strings.Join(synth.Troubles(), ", "))
	fl.StringVar(&f.display, "display", "", "kind of display: colour, pale, blue or tube (default colour)")
	fl.StringVar(&f.boxes, "boxes", "", "boxes across and down (default 10x8)")
	fl.BoolVar(&f.centred, "centred", false, "count the upright lines from the centre line, with half a box at each side")
	fl.StringVar(&f.grid, "grid", "", "how the lines are drawn: dotted, fine or solid; or what a display without lines across its field has: crosses, axes or ticks (default dotted)")
	fl.StringVar(&f.signal, "signal", "", "what the trace shows: "+strings.Join(synth.Forms(), ", ")+" (default decay)")
	fl.StringVar(&f.volts, "volts", "", "level before a decay, of the drive, while on, or at a sine's crest: 9V")
	fl.StringVar(&f.settlesAt, "settles-at", "", "level after a decay, while off, or in a sine's middle: 0V")
	fl.StringVar(&f.tau, "tau", "", "time constant: 10.34s")
	fl.StringVar(&f.frequency, "frequency", "", "of the drive, the sine or the square wave: 10Hz")
	fl.BoolVar(&f.drive, "drive", false, "show what drives the network on a further trace: the square wave of driven, or a sine whose network of --tau is on the other")
	fl.StringVar(&f.knee, "knee", "", "when the decay begins, from the left rim: 5s")
	fl.StringVar(&f.voltsPerBox, "volts-per-box", "", "volts a box: 1.5V")
	fl.StringVar(&f.timePerBox, "time-per-box", "", "time a box: 5s")
	fl.StringVar(&f.ground, "ground", "", "where 0 V is: bottom, centre, or BOXES up from the centre")
	fl.StringVar(&f.noise, "noise", "", "noise of the signal, BOXES (standard deviation)")
	fl.StringVar(&f.gap, "gap", "", `slow sweep: the pen's place and the width of the gap ahead of it, "X,WIDTH" in boxes`)
	fl.StringVar(&f.megapixels, "megapixels", "", "size of the photo, up to 16 (default 3)")
	fl.StringVar(&f.tilt, "tilt", "", `turns about the display's upright and level axes, "8,-5" degrees`)
	fl.StringVar(&f.roll, "roll", "", "turn about the viewing axis, degrees")
	fl.StringVar(&f.fill, "fill", "", "share of the photo that the frame takes, 0.02 to 4 (default 0.7)")
	fl.StringVar(&f.blur, "blur", "", "standard deviation of the blur, pixels")
	fl.StringVar(&f.glare, "glare", "", "light of soft reflections over the display's white, 0 to 1")
	fl.StringVar(&f.exposure, "exposure", "", "light of the photo; 1 shows the display's white as white")
	fl.StringVar(&f.quality, "quality", "", "of the JPEG file, 1 to 100 (default 88)")
	fl.StringVar(&f.turning, "orientation", "", "EXIF orientation in which the file is stored, 1 to 8")
	fl.Uint64Var(&f.seed, "seed", 1, "fixes all that is random")
	fl.BoolVar(&f.replace, "replace", false, "write over a file that is there, be it no simulated photo")
}

// writeSpecimen shoots the scene and writes photo and truth, both or none. It says what it wrote.
func writeSpecimen(ctx context.Context, path string, scene synth.Scene, replace bool) (string, error) {
	ext := filepath.Ext(path)
	shoot := scene.JPEG
	switch strings.ToLower(ext) {
	case ".jpg", ".jpeg":
	case ".png":
		shoot = scene.PNG
	default:
		return "", &usageError{fmt.Sprintf("%s is neither .jpg nor .png", path), "give the photo a name such as mist.jpg"}
	}
	note := strings.TrimSuffix(path, ext) + ".json"
	if taken := takenBySomethingElse(path, note); taken != "" && !replace {
		return "", &fileError{taken + " is there already, and is not of a simulated photo", hintReplace}
	}
	photo, truth, err := shoot()
	if err != nil {
		return "", &usageError{err.Error(), "change that flag, or leave it out"}
	}
	told, err := truth.Encode()
	if err != nil {
		return "", err
	}
	var set save.Set
	set.Add(path, photo)
	set.Add(note, told)
	if err := set.Write(ctx); err != nil {
		return "", err
	}
	t := truth.Traces[0]
	said := fmt.Sprintf("%s: %s display, %d × %d boxes, %s", path, truth.Display, truth.Columns, truth.Rows, t.Signal)
	if t.TauS != nil {
		said += ", τ = " + unit.Engineering(*t.TauS, 4, "s")
	}
	return fmt.Sprintf("%s; truth in %s", said, note), nil
}

// takenBySomethingElse gives whichever of the two files is there without being of a simulated photo, "" if neither: a
// real photo must not be lost to a name that was typed too soon. A photo is taken for a simulated one by the truth
// beside it.
func takenBySomethingElse(photo, note string) string {
	if _, err := synth.DecodeTruth(small(note)); err == nil {
		return ""
	}
	for _, path := range []string{photo, note} {
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() && info.Size() > 0 {
			return path
		}
	}
	return ""
}

// scene builds what the flags ask for.
func (f synthFlags) scene() (synth.Scene, error) {
	var s synth.Scene
	p := flagParser{}
	if f.random != "" {
		n, err := strconv.ParseUint(f.random, 10, 64)
		if err != nil {
			return s, &usageError{fmt.Sprintf("--random: %q is not a whole number", f.random), "give a number such as 12"}
		}
		s = synth.Random(n)
	} else {
		s = synth.Scene{Seed: f.seed, Camera: synth.Phone()}
		s.Display.Frame = geom.Frame{Cols: 10, Rows: 8}
	}
	d, c := &s.Display, &s.Camera
	p.choice("display", f.display, func(t string) (err error) { d.Kind, err = synth.ParseKind(t); return })
	p.choice("grid", f.grid, func(t string) (err error) { d.Grid, err = synth.ParseGrid(t); return })
	if f.boxes != "" {
		cols, rows, _ := strings.Cut(f.boxes, "x")
		var errs [2]error
		d.Frame.Cols, errs[0] = strconv.Atoi(cols)
		d.Frame.Rows, errs[1] = strconv.Atoi(rows)
		if errs != [2]error{} || d.Frame.Cols < 1 || d.Frame.Rows < 1 {
			p.fail("boxes", f.boxes, "not a count of boxes", "give the boxes across and down, such as 10x8")
		}
	}
	d.Centred = d.Centred || f.centred
	if form := synth.Decay; f.random == "" || f.signal != "" {
		p.choice("signal", f.signal, func(t string) (err error) { form, err = synth.ParseForm(t); return })
		sig, perBox := synth.Specimen(form, d.Frame)
		s.Signals, s.TimePerBox = []synth.Signal{sig}, perBox
	}
	sig := &s.Signals[0]
	p.quantity("volts", f.volts, "V", &sig.VStart)
	p.quantity("settles-at", f.settlesAt, "V", &sig.VEnd)
	p.quantity("tau", f.tau, "s", &sig.Tau)
	p.quantity("frequency", f.frequency, "Hz", &sig.Frequency)
	p.quantity("knee", f.knee, "s", &sig.Knee)
	p.quantity("volts-per-box", f.voltsPerBox, "V", &sig.VoltsPerBox)
	p.quantity("time-per-box", f.timePerBox, "s", &s.TimePerBox)
	switch f.ground {
	case "bottom":
		sig.GroundBox = d.Frame.Bottom()
	case "centre":
		sig.GroundBox = 0
	default:
		p.number("ground", f.ground, &sig.GroundBox)
	}
	p.number("noise", f.noise, &sig.Noise)
	if f.drive && p.err == nil {
		if sig.Form != synth.Driven && sig.Form != synth.Sine {
			p.fail("drive", sig.Form.String(), "a signal without a drive", "give --signal driven or --signal sine with it")
		} else {
			s.Signals = withDrive(*sig, d.Frame)
		}
	}
	p.number("gap", f.gap, &s.Pen, &s.GapBoxes)
	p.number("roll", f.roll, &c.Roll)
	if f.roll != "" {
		c.Roll *= math.Pi / 180
	}
	if f.tilt != "" {
		p.number("tilt", f.tilt, &c.Yaw, &c.Pitch)
		c.Yaw, c.Pitch = c.Yaw*math.Pi/180, c.Pitch*math.Pi/180
	}
	p.number("fill", f.fill, &c.Fill)
	p.number("blur", f.blur, &c.Blur)
	p.number("glare", f.glare, &c.Glare)
	p.number("exposure", f.exposure, &c.Exposure)
	var mp, quality, turning float64
	p.number("megapixels", f.megapixels, &mp)
	p.number("quality", f.quality, &quality)
	p.number("orientation", f.turning, &turning)
	if f.quality != "" {
		c.Quality = p.whole("quality", f.quality, quality)
	}
	if f.turning != "" {
		c.Orientation = p.whole("orientation", f.turning, turning)
	}
	if f.megapixels != "" && p.err == nil {
		if !(mp >= 0.01 && mp <= mostMegapixels) {
			p.fail("megapixels", f.megapixels, fmt.Sprintf("outside 0.01 to %d; making a photo takes 24 bytes of memory a pixel", mostMegapixels), "give a size such as 3 or 12")
		} else {
			s = s.WithMegapixels(mp)
		}
	}
	if f.trouble != "" {
		var err error
		if s, err = s.WithTrouble(f.trouble); err != nil {
			p.fail("trouble", f.trouble, "not a trouble that is known", "one of "+strings.Join(synth.Troubles(), ", "))
		}
	}
	return s, p.err
}

// mostMegapixels keeps making a photo within 400 MB; phones' usual pictures have 12
// (TestSynthRefusesAndWritesNothing would notice more).
const mostMegapixels = 16

// withDrive gives the traces of what drives a network and of the network's answer sig, one above the other. A sine
// comes out of a resistor and a capacitor smaller by 1/√(1 + (2πf·τ)²) and later by atan(2πf·τ).
func withDrive(sig synth.Signal, f geom.Frame) []synth.Signal {
	drive := sig
	drive.Colour = [3]float32{0.15, 0.75, 0.95} // bluish beside the first colour of a panel
	drive.VoltsPerBox = 2 * sig.VoltsPerBox
	if sig.Form == synth.Driven {
		drive.Form, drive.Tau = synth.Square, 0
		drive.Knee += 1 / (2 * sig.Frequency) // Driven counts from a fall, Square from a rise
		drive.GroundBox, sig.GroundBox, sig.VoltsPerBox = 0.5, f.Bottom()+0.5, drive.VoltsPerBox
		return []synth.Signal{drive, sig}
	}
	if sig.Tau == 0 {
		sig.Tau = synth.MistFast(f).Tau
	}
	turn := 2 * math.Pi * sig.Frequency
	sig.VStart = sig.VEnd + (sig.VStart-sig.VEnd)/math.Hypot(1, turn*sig.Tau)
	sig.Knee += math.Atan(turn*sig.Tau) / turn
	drive.GroundBox, sig.GroundBox = -f.Bottom()/2, f.Bottom()/2
	return []synth.Signal{drive, sig}
}

// A flagParser reads flags one after the other and keeps the first mistake.
type flagParser struct{ err error }

func (p *flagParser) fail(flag, text, reason, hint string) {
	if p.err == nil {
		p.err = &usageError{fmt.Sprintf("--%s: %q is %s", flag, text, reason), hint}
	}
}

func (p *flagParser) choice(flag, text string, parse func(string) error) {
	if text == "" || p.err != nil {
		return
	}
	if err := parse(text); err != nil {
		p.err = &usageError{fmt.Sprintf("--%s: %v", flag, err), "choose one of those"}
	}
}

func (p *flagParser) quantity(flag, text, symbol string, to *float64) {
	if text == "" {
		return
	}
	v, err := unit.ParseSigned(text, symbol)
	if err != nil {
		p.fail(flag, text, "not a value in "+symbol, "give a number with its unit, as in the examples of quadrille synth --help")
		return
	}
	if v.X == 0 && flag != "volts" && flag != "settles-at" && flag != "knee" {
		p.fail(flag, text, "nothing", "give a value that is not zero, or leave the flag out")
		return
	}
	*to = v.X
}

// whole is v as a count from 1 on: 0 would mean the default.
func (p *flagParser) whole(flag, text string, v float64) int {
	if v < 1 || v > 1000 || v != math.Trunc(v) {
		p.fail(flag, text, "not a whole number from 1 on", "see quadrille synth --help")
	}
	return int(v)
}

// number reads numbers separated by commas, one for each of to.
func (p *flagParser) number(flag, text string, to ...*float64) {
	if text == "" {
		return
	}
	parts := strings.Split(text, ",")
	if len(parts) != len(to) {
		p.fail(flag, text, fmt.Sprintf("not %d numbers", len(to)), "see quadrille synth --help")
		return
	}
	for i, part := range parts {
		v, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			p.fail(flag, text, "not a number", "see quadrille synth --help")
			return
		}
		*to[i] = v
	}
}
