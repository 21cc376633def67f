// Who waits for what. A post first enters, if there is room for its body in memory; then its body is read; then it
// waits for a turn, of which there are as many as cores. Those who find no room are told at once to come again.

package desk

import (
	"context"
	"net/http"
	"runtime"
	"runtime/debug"
	"sync"
	"time"
)

const (
	// maxInside is how many posts may be inside, with those whose turn it is: a class of two dozen that reads its
	// photos at the same moment waits 8 s on two cores. TestTwoHundredPostsAtOnce would notice.
	maxInside = 24
	// maxHeld is how many bytes of bodies may be inside: all 24 with a photo of 10 MB, or four of the largest.
	// TestRoomForBodiesIsCounted would notice.
	maxHeld = 4 * maxBody
	// waitTime is how long a post waits for its turn: the 8 s that a class needs, with time to spare on a slow computer.
	// TestAPostDoesNotWaitForEver holds that it ends.
	waitTime = time.Minute
	// restTime is how long nobody must be inside before memory that is free goes back to the system: not between two
	// changes of a setting. TestMemoryGoesBack would notice if it did not.
	restTime = 2 * time.Second
)

type queue struct {
	turns    chan struct{} // has an element for each reading that is being worked on
	waitTime time.Duration
	rest     *time.Timer // runs while nobody is inside

	mu     sync.Mutex
	inside int
	held   int64
}

func newQueue() *queue {
	q := &queue{turns: make(chan struct{}, runtime.GOMAXPROCS(0)), waitTime: waitTime}
	q.rest = time.AfterFunc(restTime, debug.FreeOSMemory)
	return q
}

// enter takes room for a body of so many bytes; negative if it was not told, which counts as the largest. A body that
// is too large needs none: it is refused. The caller leaves when all is done.
func (q *queue) enter(length int64) (leave func(), no *refusal) {
	switch {
	case length < 0:
		length = maxBody
	case length > maxBody:
		length = 0
	}
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.inside == maxInside || q.held+length > maxHeld {
		return nil, busy
	}
	q.rest.Stop()
	q.inside++
	q.held += length
	return func() {
		q.mu.Lock()
		defer q.mu.Unlock()
		q.inside--
		q.held -= length
		if q.inside == 0 {
			q.rest.Reset(restTime)
		}
	}, nil
}

// turn waits until a core is free. The caller ends it.
func (q *queue) turn(ctx context.Context) (end func(), no *refusal) {
	late := time.NewTimer(q.waitTime)
	defer late.Stop()
	select {
	case q.turns <- struct{}{}:
		return func() { <-q.turns }, nil
	case <-late.C:
		return nil, busy
	case <-ctx.Done():
		return nil, gone
	}
}

// gone is told to nobody, or to those who wait while the program ends.
var gone = &refusal{http.StatusServiceUnavailable, "interrupted", "the reading was interrupted", "read the photo again"}

var busy = &refusal{http.StatusServiceUnavailable, "server", "many photos are being read at this moment", "wait some seconds, then try again"}
