//go:build linux && !race

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
)

// The most that a phone's photo of 12 megapixels may take, resident. One that shows only a part of the graticule goes
// through all searches. The photo is made by another process too: a child's peak counts what its parent had when it was
// begun.
func TestAHardPhotoStaysWithin160MB(t *testing.T) {
	const most = 160e6 // bytes
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	photo := filepath.Join(t.TempDir(), "photo.jpg")
	run := func(statuses []int, args ...string) *os.ProcessState {
		c := exec.Cmd{Path: self, Args: append([]string{"quadrille"}, args...)}
		_ = c.Run() // the status tells
		if !slices.Contains(statuses, c.ProcessState.ExitCode()) {
			t.Fatalf("%q: exit status %d, not one of %d", args, c.ProcessState.ExitCode(), statuses)
		}
		return c.ProcessState
	}
	run([]int{exitRead}, "synth", photo, "--megapixels", "12", "--display", "tube", "--signal", "sine", "--fill", "2.5")
	ended := run([]int{exitFailed, exitDoubted}, "read", photo, "--volts-per-box", "1V", "--time-per-box", "1ms")
	peak := float64(ended.SysUsage().(*syscall.Rusage).Maxrss) * 1024
	t.Logf("peak %.0f MB", peak/1e6)
	if peak > most {
		t.Errorf("peak of %.0f MB resident, at most %.0f wanted", peak/1e6, most/1e6)
	}
}
