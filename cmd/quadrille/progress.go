package main

import (
	"fmt"
	"io"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"quadrille/cmd/internal/wire"
)

// patience is how long a stage works in silence: a person waits for a second without wondering (common practice, no
// source; TestProgressIsShownOfSlowStagesOnly).
const patience = time.Second

// stageWords say what each stage of a reading does.
var stageWords = map[string]string{
	"photo": "decoding the photo", "table": "reading the table", "graticule": "looking for the graticule", "upright": "looking which way is up", "trace": "following the traces",
	"settings": "finding the settings", "calibrate": "scaling the trace", "analysis": "working out the results", "readings": "laying the readings beside",
}

// A progress shows on a terminal which stage a reading is at, once it takes longer than a moment, and takes it away
// when that ends.
type progress struct {
	out   io.Writer
	after time.Duration

	lock  sync.Mutex
	timer *time.Timer
	shown bool
	stage int // counts them, so that a timer that fires late says nothing
}

// showProgress lets a reading show its stages where a person sits at the terminal; done ends that.
func showProgress(c *cobra.Command, given *wire.Settings) (done func()) {
	if !isTerminal(c.ErrOrStderr()) {
		return func() {}
	}
	p := &progress{out: c.ErrOrStderr(), after: patience}
	given.Begin = p.begin
	return p.end
}

// begin says that a stage begins, and so that the one before has ended.
func (p *progress) begin(stage string) {
	p.lock.Lock()
	defer p.lock.Unlock()
	p.clear()
	words := stageWords[stage]
	if words == "" {
		words = stage
	}
	at := p.stage
	p.timer = time.AfterFunc(p.after, func() {
		p.lock.Lock()
		defer p.lock.Unlock()
		if p.stage == at {
			p.shown = true
			fmt.Fprintf(p.out, "\r%s …", words)
		}
	})
}

// end takes away what is shown.
func (p *progress) end() {
	p.lock.Lock()
	defer p.lock.Unlock()
	p.clear()
}

func (p *progress) clear() {
	p.stage++
	if p.timer != nil {
		p.timer.Stop()
	}
	if p.shown {
		fmt.Fprint(p.out, "\r\x1b[K") // erase to the end of the line: ECMA-48, 8.3.41
	}
	p.shown = false
}

// A countdown shows on a terminal how many of several files are read and about how long the others take, once that is
// longer than a moment. Where nobody sits it shows nothing.
type countdown struct {
	out    io.Writer // nil shows nothing
	what   string    // of the files: "photos"
	after  time.Duration
	of     int
	begun  time.Time
	ticker *time.Ticker
	stop   chan struct{}
	ended  sync.WaitGroup

	lock sync.Mutex
	done int
}

// showCount shows the reading of so many files where a person sits at the terminal.
func showCount(c *cobra.Command, what string, of int) *countdown {
	if !isTerminal(c.ErrOrStderr()) {
		return &countdown{}
	}
	return newCountdown(c.ErrOrStderr(), what, of, patience)
}

func newCountdown(out io.Writer, what string, of int, after time.Duration) *countdown {
	p := &countdown{out: out, what: what, after: after, of: of, begun: time.Now(), ticker: time.NewTicker(after), stop: make(chan struct{})}
	p.ended.Go(func() {
		shown := false
		for {
			select {
			case <-p.ticker.C:
				shown = true
				counting.Store(true)
				fmt.Fprintf(p.out, "\r%s\x1b[K", p.says(time.Since(p.begun)))
			case <-p.stop:
				if shown {
					fmt.Fprint(p.out, "\r\x1b[K")
				}
				counting.Store(false)
				return
			}
		}
	})
	return p
}

// count tells that so many are done.
func (p *countdown) count(done int) {
	p.lock.Lock()
	defer p.lock.Unlock()
	p.done = done
}

// says is the line after so much time: what is left takes as long for each file as those that are done.
func (p *countdown) says(spent time.Duration) string {
	p.lock.Lock()
	defer p.lock.Unlock()
	line := fmt.Sprintf("reading the %s: %d of %d", p.what, p.done, p.of)
	if p.done == 0 {
		return line + " …"
	}
	left := spent * time.Duration(p.of-p.done) / time.Duration(p.done)
	return line + fmt.Sprintf(", about %d s left …", int((left+time.Second-1)/time.Second))
}

// end takes away what is shown. To end it again does nothing.
func (p *countdown) end() {
	if p.out == nil {
		return
	}
	defer func() { p.out = nil }()
	p.ticker.Stop()
	close(p.stop)
	p.ended.Wait()
}
