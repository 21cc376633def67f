package trace

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

// A countdown is a context that is cancelled after it was asked so many times.
type countdown struct {
	context.Context
	left *atomic.Int64
}

func (c countdown) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// Wherever the work is when the context is cancelled, it ends with the error of the context, and what it asks the
// context for it asks often: at least once a strip of the display and once a colour.
func TestACancelledContextEndsTheWork(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(2, 1, 0), yellow, 0.02}}
	ph, g := p.paint(t)
	const plenty = 1 << 20
	var left atomic.Int64
	left.Store(plenty)
	if _, err := Extract(countdown{t.Context(), &left}, ph, g, nil); err != nil {
		t.Fatal(err)
	}
	n := int(plenty - left.Load())
	if n < 2*g.Frame.Cols {
		t.Errorf("the context was asked %d times, on %d boxes", n, g.Frame.Cols)
	}
	for after := 0; after < n; after += 3 {
		left.Store(int64(after))
		if _, err := Extract(countdown{t.Context(), &left}, ph, g, nil); !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled after %d of %d: error %v", after, n, err)
		}
	}
}
