//go:build linux && !race

package main

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"hash/crc32"
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

// A striped picture is a PNG of slanted stripes, 256 pixels wide, of any size: written row by row, as image/png would
// ask for each pixel (W3C PNG, 11.2.1 and 9.2).
type striped struct {
	w, h  int
	deep  bool // 16 bits a colour
	clear bool // half transparent
}

func (p striped) write(path string) error {
	var rows bytes.Buffer
	z, err := zlib.NewWriterLevel(&rows, zlib.BestSpeed)
	if err != nil {
		return err
	}
	wide, samples, kind := 1, 3, byte(2)
	if p.deep {
		wide = 2
	}
	if p.clear {
		samples, kind = 4, 6
	}
	var ramp []byte // a row that is long enough for all to begin somewhere in it
	for x := range p.w + p.h {
		for _, v := range []uint16{uint16(x), 0x8000, 0x4000, 0x8000}[:samples] {
			ramp = append(ramp, byte(v>>8), byte(v))[:len(ramp)+wide]
		}
	}
	pixel := wide * samples
	less := bytes.Clone(ramp) // by the pixel to the left, the filter Sub
	for i := pixel; i < len(ramp); i++ {
		less[i] -= ramp[i-pixel]
	}
	for y := range p.h {
		row := append([]byte{1}, ramp[y*pixel:(y+1)*pixel]...)
		if _, err := z.Write(append(row, less[(y+1)*pixel:(y+p.w)*pixel]...)); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	file := []byte("\x89PNG\r\n\x1a\n")
	chunk := func(name string, data []byte) {
		file = binary.BigEndian.AppendUint32(file, uint32(len(data)))
		file = append(append(file, name...), data...)
		file = binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(append([]byte(name), data...)))
	}
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(p.w)), uint32(p.h))
	chunk("IHDR", append(head, byte(8*wide), kind, 0, 0, 0))
	chunk("IDAT", rows.Bytes())
	chunk("IEND", nil)
	return os.WriteFile(path, file, 0o666)
}

// The largest pictures of the kinds with many bytes a pixel, just within the limits.
func TestLargePicturesStayWithin250MB(t *testing.T) {
	if testing.Short() {
		t.Skip("makes pictures of tens of megapixels")
	}
	const most = 250e6 // bytes
	for name, p := range map[string]striped{
		"8 bits":               {6600, 5500, false, false},
		"16 bits, transparent": {4000, 3100, true, true},
	} {
		path := filepath.Join(t.TempDir(), "picture.png")
		if err := p.write(path); err != nil {
			t.Fatal(err)
		}
		peak := peakOf(t, []int{exitFailed}, "read", path)
		t.Logf("%s: peak %.0f MB", name, peak/1e6)
		if peak > most || peak < most/2 {
			t.Errorf("%s: peak of %.0f MB resident, more than half of %.0f and no more than that wanted", name, peak/1e6, most/1e6)
		}
	}
}
