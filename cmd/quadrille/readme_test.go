package main

import (
	"bytes"
	"os"
	"regexp"
	"strings"
	"testing"
)

// The README's commands that run the main job are run as they stand there, from the project's folder, and must read
// their photo without a doubt.
func TestCommandsOfTheReadmeWork(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	commands := regexp.MustCompile(`(?m)^(?:\$ \./quadrille|go run \./cmd/quadrille) (read .*)$`).FindAllStringSubmatch(string(text), -1)
	if len(commands) < 2 {
		t.Fatalf("found %d commands in the README", len(commands))
	}
	t.Chdir("../..")
	for _, c := range commands {
		args := strings.Fields(c[1])
		for i, a := range args {
			if a == "--out" {
				args[i+1] = t.TempDir()
			}
		}
		var out, errs bytes.Buffer
		if status := run(t.Context(), args, &out, &errs); status != exitRead {
			t.Errorf("%s: exit status %d\n%s%s", c[1], status, out.String(), errs.String())
		}
		if !strings.Contains(out.String(), "τ: curve") && !strings.Contains(out.String(), "phase difference: ") {
			t.Errorf("%s: neither a time constant nor a phase difference in\n%s", c[1], out.String())
		}
	}
}
