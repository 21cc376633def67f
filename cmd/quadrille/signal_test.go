//go:build unix

package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// Whenever a signal comes, a result is there as a whole or not at all, in a new folder and over an older result, and
// nothing else is left.
func TestASignalLeavesAllOrNothing(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	command := func(dir, u string) (*exec.Cmd, *bytes.Buffer) {
		var errs bytes.Buffer
		c := &exec.Cmd{Path: self, Dir: dir, Stderr: &errs, Args: []string{"quadrille", "fit", "table.csv", "--settles-at", "ground", "--u-volts", u, "--out", "result", "--json", "one.json"}}
		return c, &errs
	}
	// state says whose result is in dir: that of --u-volts 0.1V or 0.2V, or none; or what is wrong.
	state := func(dir string) string {
		var held []string
		for _, folder := range []string{dir, filepath.Join(dir, "result")} {
			list, _ := os.ReadDir(folder)
			for _, e := range list {
				held = append(held, e.Name())
			}
		}
		switch names := strings.Join(held, " "); names {
		case "table.csv":
			return "none"
		case "one.json result table.csv ln-v.svg page.html page.pdf points.csv result.json tau.svg v-t.svg":
			one, _ := os.ReadFile(filepath.Join(dir, "one.json"))
			all, _ := os.ReadFile(filepath.Join(dir, "result", "result.json"))
			points, _ := os.ReadFile(filepath.Join(dir, "result", "points.csv"))
			if !bytes.Equal(one, all) {
				return "two documents"
			}
			for _, u := range []string{"0.1", "0.2"} {
				if bytes.Contains(points, []byte("0,9,"+u+"\n")) && bytes.Contains(all, []byte(`"u_v": [`+u+`,`)) {
					return u
				}
			}
			return "torn"
		default:
			return "left: " + names
		}
	}
	fresh := func() string {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, "table.csv"), []byte("t_s,v_V\n0,9\n2,7.42\n5,5.55\n7,4.57\n10,3.42\n15,2.11\n20,1.3\n25,0.8\n30,0.49\n"), 0o666); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	dir := fresh()
	c, errs := command(dir, "0.1V")
	begin := time.Now()
	_ = c.Run()
	took := time.Since(begin)
	if got := state(dir); got != "0.1" {
		t.Fatalf("without a signal: %s\n%s", got, errs)
	}
	const runs = 20
	for _, s := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM} {
		seen := map[string]int{}
		for i := range runs {
			before, u := "0.1", "0.2V"
			dir := dir
			if i%2 == 0 {
				before, u, dir = "none", "0.1V", fresh()
			} else if state(dir) == "0.2" {
				before, u = "0.2", "0.1V"
			}
			c, errs := command(dir, u)
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Duration(rand.Float64() * 1.2 * float64(took)))
			_ = c.Process.Signal(s) // it may have ended
			_ = c.Wait()
			got := state(dir)
			if got != before && got != strings.TrimSuffix(u, "V") {
				t.Errorf("%s: %s; before it %s\n%s", s, got, before, errs)
			}
			status := c.ProcessState.ExitCode()
			seen[fmt.Sprint(status)]++
			if status == 128+int(s) && !strings.HasPrefix(errs.String(), "quadrille: error: stopped by a signal") {
				t.Errorf("%s: says %q", s, errs)
			}
		}
		t.Logf("%s: exit statuses %v", s, seen)
	}
}
