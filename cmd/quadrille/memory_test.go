//go:build linux && !race

package main

import (
	"bufio"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// peakOf runs the program in a process of its own and gives the most memory, bytes, that it had resident. Its exit
// status must be one of those given. The kernel's own count of a child begins with what its parent had (getrusage(2)
// keeps it across execve), so that the process is asked for its high-water mark until it ends (proc(5), VmHWM).
func peakOf(t *testing.T, statuses []int, args ...string) (peak float64) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Cmd{Path: self, Args: append([]string{"quadrille"}, args...)}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error)
	go func() { ended <- c.Wait() }()
	for {
		select {
		case <-ended: // the status tells
			if !slices.Contains(statuses, c.ProcessState.ExitCode()) {
				t.Fatalf("%q: exit status %d, not one of %d", args, c.ProcessState.ExitCode(), statuses)
			}
			return peak
		case <-time.After(2 * time.Millisecond):
			if kB, ok := highWater(c.Process.Pid); ok {
				peak = kB * 1024
			}
		}
	}
}

// highWater is the most that a process had resident, kB.
func highWater(pid int) (kB float64, ok bool) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0, false // it has ended
	}
	_, after, ok := strings.Cut(string(text), "VmHWM:")
	if !ok {
		return 0, false
	}
	_, err = fmt.Sscan(after, &kB)
	return kB, err == nil
}

// The most that a phone's photo of 12 megapixels may take, resident. One that shows only a part of the graticule goes
// through all searches.
func TestAHardPhotoStaysWithin160MB(t *testing.T) {
	const most = 160e6 // bytes
	photo := filepath.Join(t.TempDir(), "photo.jpg")
	peakOf(t, []int{exitRead}, "synth", photo, "--megapixels", "12", "--display", "tube", "--signal", "sine", "--fill", "2.5")
	peak := peakOf(t, []int{exitFailed, exitDoubted}, "read", photo, "--volts-per-box", "1V", "--time-per-box", "1ms")
	t.Logf("peak %.0f MB", peak/1e6)
	if peak > most {
		t.Errorf("peak of %.0f MB resident, at most %.0f wanted", peak/1e6, most/1e6)
	}
}

// A drawn picture is one of any size that takes no memory: slanted stripes, opaque or not.
type drawn struct {
	size   image.Point
	model  color.Model
	opaque bool
}

func (d drawn) ColorModel() color.Model { return d.model }
func (d drawn) Bounds() image.Rectangle { return image.Rectangle{Max: d.size} }
func (d drawn) Opaque() bool            { return d.opaque }
func (d drawn) At(x, y int) color.Color {
	light := color.NRGBA64{uint16(x + y), 0x8000, 0x4000, 0xffff}
	if !d.opaque {
		light.A = 0x8000
	}
	return d.model.Convert(light)
}

// The largest pictures of the kinds with many bytes a pixel, just within the limits.
func TestLargePicturesStayWithin250MB(t *testing.T) {
	if testing.Short() {
		t.Skip("makes pictures of tens of megapixels")
	}
	const most = 250e6 // bytes
	for name, d := range map[string]drawn{
		"8 bits":               {image.Pt(6600, 5500), color.NRGBAModel, true},
		"16 bits, transparent": {image.Pt(4000, 3100), color.NRGBA64Model, false},
	} {
		path := filepath.Join(t.TempDir(), "picture.png")
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		w := bufio.NewWriter(f)
		if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, d); err != nil {
			t.Fatal(err)
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		peak := peakOf(t, []int{exitFailed}, "read", path)
		t.Logf("%s: peak %.0f MB", name, peak/1e6)
		if peak > most || peak < most/2 {
			t.Errorf("%s: peak of %.0f MB resident, more than half of %.0f and no more than that wanted", name, peak/1e6, most/1e6)
		}
	}
}
