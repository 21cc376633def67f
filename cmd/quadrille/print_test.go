package main

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

type fullDevice struct{}

func (fullDevice) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestWhatCannotBePrintedFails(t *testing.T) {
	for _, args := range [][]string{{"--help"}, {"read", "--help"}, {"help", "fit"}, {}} {
		var errs bytes.Buffer
		if status := run(t.Context(), args, fullDevice{}, &errs); status != exitFailed || !strings.Contains(errs.String(), "no space left") {
			t.Errorf("%q: exit status %d, %q", args, status, &errs)
		}
	}
}
