package reading

import (
	"context"
	"errors"
	"testing"
)

// What a Desk keeps is bounded: of more photos, and of more results of a photo, the one that was longest not used is
// forgotten.
func TestADeskForgetsTheOldest(t *testing.T) {
	var d Desk
	shelfOf := func(photo int) *shelf {
		s, err := d.shelf(t.Context(), keyOf("photo", photo))
		if err != nil {
			t.Fatal(err)
		}
		<-s.busy
		return s
	}
	first := shelfOf(0)
	for i := 1; i < keptPhotos; i++ {
		shelfOf(i)
	}
	if shelfOf(0) != first {
		t.Error("a photo was forgotten that there was room for")
	}
	second := shelfOf(1)
	shelfOf(keptPhotos)
	if shelfOf(1) != second || len(d.photos) != keptPhotos {
		t.Errorf("%d photos are kept; the second is not", len(d.photos))
	}

	c := &chain{ctx: t.Context(), shelf: first}
	work := 0
	result := func(i int) {
		v, err := made(c, keyOf("stage", i), func() (int, error) {
			work++
			return 7 * i, nil
		})
		if v != 7*i || err != nil {
			t.Fatalf("result %d is %d, %v", i, v, err)
		}
	}
	for i := range keptResults {
		result(i)
	}
	result(0) // used again
	result(keptResults)
	if result(0); work != keptResults+1 {
		t.Errorf("%d results were made, want %d", work, keptResults+1)
	}
	if result(1); work != keptResults+2 || len(first.results) != keptResults {
		t.Errorf("%d results were made and %d kept, want %d and %d", work, len(first.results), keptResults+2, keptResults)
	}
}

// An error is a result as any other, but what a cancelled reading leaves is none.
func TestErrorsAreKeptAndInterruptionsAreNot(t *testing.T) {
	c := &chain{ctx: t.Context(), shelf: &shelf{}}
	odd, work := errors.New("odd"), 0
	for range 2 {
		if _, err := made(c, keyOf("stage"), func() (int, error) { work++; return 0, odd }); err != odd || work != 1 {
			t.Errorf("%v after %d times", err, work)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	c.ctx = ctx
	if v, err := made(c, keyOf("other"), func() (int, error) { cancel(); return 3, nil }); v != 0 || !errors.Is(err, context.Canceled) || len(c.shelf.results) != 1 {
		t.Errorf("%v, %v, %d results", v, err, len(c.shelf.results))
	}
}

// Readings of one photo wait for one another, and one that is cancelled waits no longer.
func TestAReadingThatWaitsCanBeCancelled(t *testing.T) {
	var d Desk
	s, err := d.shelf(t.Context(), keyOf("photo"))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := d.shelf(ctx, keyOf("photo")); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	<-s.busy
	if again, err := d.shelf(t.Context(), keyOf("photo")); again != s || err != nil {
		t.Errorf("%p, %v, want %p", again, err, s)
	}
}
