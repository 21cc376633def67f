package main

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"
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

func TestLongWorkIsTold(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	done, beat := make(chan int), make(chan time.Time)
	go func() {
		beat <- time.Now()
		beat <- time.Now()
		done <- exitDoubted
	}()
	var told strings.Builder
	if status, ended := await(ctx, done, beat, &told); status != exitDoubted || !ended {
		t.Errorf("status %d, ended %t", status, ended)
	}
	if want := "quadrille: at work for 10s now; Ctrl-C stops it\nquadrille: at work for 20s now; Ctrl-C stops it\n"; told.String() != want {
		t.Errorf("told %q, want %q", told.String(), want)
	}
	cancel()
	if _, ended := await(ctx, done, beat, &told); ended {
		t.Error("a run that was stopped has ended by itself")
	}
}
