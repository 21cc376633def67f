package desk

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"
)

func pause() { time.Sleep(5 * time.Millisecond) }

// soon waits until something is so.
func soon(t *testing.T, what string, so func() bool) {
	t.Helper()
	for end := time.Now().Add(20 * time.Second); !so(); pause() {
		if time.Now().After(end) {
			t.Fatalf("not so after 20 s: %s", what)
		}
	}
}

// running serves s on a port of its own; end stops it.
func running(t *testing.T, s *server) (addr string, end func() error) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	addr = l.Addr().String()
	s.guard.hosts = append(s.guard.hosts, addr)
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- Serve(ctx, l, s) }()
	end = sync.OnceValue(func() error {
		cancel()
		return <-ended
	})
	t.Cleanup(func() { _ = end() })
	return addr, end
}

// connect sends the beginning of a request and leaves the rest to the test.
func connect(t *testing.T, addr, text string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", addr)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	if _, err := io.WriteString(c, text); err != nil {
		t.Fatal(err)
	}
	return c
}

func statusOf(t *testing.T, c net.Conn) int {
	t.Helper()
	if err := c.SetReadDeadline(time.Now().Add(30 * time.Second)); err != nil {
		t.Fatal(err)
	}
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode
}

func (q *queue) count() int {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.inside
}

func (q *queue) empty() bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.inside == 0 && q.held == 0 && len(q.turns) == 0
}

// numbered is the small photo with its number behind the picture, which makes it another photo.
func numbered(n int) string { return string(smallPhoto()) + fmt.Sprint(n) }

func posted(ctx context.Context, client *http.Client, addr string, parts ...string) (*http.Response, error) {
	body, kind := formOf(parts...)
	r, err := http.NewRequestWithContext(ctx, "POST", "http://"+addr+"/answer", body)
	if err != nil {
		return nil, err
	}
	r.Header.Set("Content-Type", kind)
	return client.Do(r)
}

// Of very many posts at once as many are read as there is room for. The others are told when to come again. Afterwards
// there is no more of anything than there was before.
func TestTwoHundredPostsAtOnce(t *testing.T) {
	const posts, more = 200, 20 << 20 // bytes that may be left behind
	s := testServer("")
	s.queue.waitTime = 10 * waitTime // how fast this machine is does not count
	addr, end := running(t, s)
	client := &http.Client{Transport: &http.Transport{}}
	read := func(n int) (int, string) {
		r, err := posted(t.Context(), client, addr, "photo", numbered(n), "settings", mist)
		if err != nil {
			t.Error(err)
			return 0, ""
		}
		defer r.Body.Close()
		_, _ = io.Copy(io.Discard, r.Body)
		return r.StatusCode, r.Header.Get("Retry-After")
	}
	for n := range 4 { // as many photos as are remembered, and one
		if status, _ := read(-n); status != http.StatusOK {
			t.Fatal(status)
		}
	}
	client.CloseIdleConnections()
	state := func() (goroutines int, heap uint64) {
		runtime.GC()
		runtime.GC() // what has finalizers goes with the second
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return runtime.NumGoroutine(), m.HeapAlloc
	}
	goroutines, heap := state()

	var all sync.WaitGroup
	var mu sync.Mutex
	counts := map[int]int{}
	for n := range posts {
		all.Go(func() {
			status, retry := read(n)
			if (status == http.StatusServiceUnavailable) != (retry == retryAfter) {
				t.Errorf("status %d with Retry-After %q", status, retry)
			}
			mu.Lock()
			counts[status]++
			mu.Unlock()
		})
	}
	all.Wait()
	t.Log("statuses:", counts)
	if counts[200] < maxInside || counts[200]+counts[503] != posts {
		t.Errorf("of %d posts these statuses: %v; at least the first %d should be read", posts, counts, maxInside)
	}
	client.CloseIdleConnections()
	soon(t, "the connections are closed", func() bool { return runtime.NumGoroutine() <= goroutines+1 })
	if _, after := state(); after > heap+more {
		t.Errorf("%d MB more than before", (after-heap)>>20)
	}
	soon(t, "nobody is inside", s.queue.empty)
	if err := end(); err != nil {
		t.Error(err)
	}
}

// Whoever leaves ends the work on his photo: this one would take minutes.
func TestAPersonWhoLeavesEndsTheWork(t *testing.T) {
	s := testServer("")
	addr, _ := running(t, s)
	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	settings := strings.Replace(mist, "{", `{"monte_carlo": "1000000", `, 1)
	answered := make(chan error, 1)
	go func() {
		r, err := posted(ctx, http.DefaultClient, addr, "photo", numbered(1), "settings", settings)
		if err == nil {
			r.Body.Close()
		}
		answered <- err
	}()
	soon(t, "it is read", func() bool { return len(s.queue.turns) == 1 })
	select {
	case err := <-answered:
		t.Fatalf("it has ended already: %v", err)
	case <-time.After(500 * time.Millisecond):
	}
	leave()
	soon(t, "nobody reads", func() bool { return len(s.queue.turns) == 0 })
	if err := <-answered; err == nil {
		t.Error("there was an answer")
	}
}

// Whoever leaves the queue is not waited for.
func TestAPersonWhoLeavesTheQueue(t *testing.T) {
	s := testServer("")
	addr, _ := running(t, s)
	for range cap(s.queue.turns) {
		s.queue.turns <- struct{}{}
	}
	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	go func() {
		if r, err := posted(ctx, http.DefaultClient, addr, "photo", "a text"); err == nil {
			r.Body.Close()
		}
	}()

	soon(t, "one waits", func() bool { return s.queue.count() == 1 })
	leave()
	soon(t, "none waits", func() bool { return s.queue.count() == 0 })
}

func TestAPostDoesNotWaitForEver(t *testing.T) {
	s := testServer("")
	s.queue.waitTime = 50 * time.Millisecond
	for range cap(s.queue.turns) {
		s.queue.turns <- struct{}{}
	}
	w := post(s, "/answer", "photo", "a text")
	_, d := answerOf(t, w.Body.Bytes())
	if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") != retryAfter || d.Error.Hint == "" {
		t.Errorf("%d, %+v", w.Code, d.Error)
	}
}

func TestRoomForBodiesIsCounted(t *testing.T) {
	q := newQueue()
	enter := func(length int64) func() {
		leave, _ := q.enter(length)
		return leave
	}
	for _, c := range []struct {
		length int64
		many   int // of them have room
	}{{1, maxInside}, {maxHeld / maxInside, maxInside}, {maxBody, 4}, {-1, 4}, {maxBody / 2, 8}, {maxBody + 1, maxInside}} {
		var leave []func()
		for range c.many {
			leave = append(leave, enter(c.length))
		}
		if further, no := q.enter(c.length); further != nil || no.status != http.StatusServiceUnavailable {
			t.Errorf("of %d bytes there is room for more than %d", c.length, c.many)
		}
		for _, l := range leave {
			if l == nil {
				t.Fatalf("of %d bytes there is no room for %d", c.length, c.many)
			}
			l()
		}
		if !q.empty() {
			t.Errorf("%d are left, with %d bytes", q.inside, q.held)
		}
	}
}

func TestASlowBodyIsLeft(t *testing.T) {
	s := testServer("")
	s.bodyTime = 200 * time.Millisecond
	addr, _ := running(t, s)
	c := connect(t, addr, "POST /answer HTTP/1.1\r\nHost: "+addr+"\r\nContent-Type: multipart/form-data; boundary=b\r\nContent-Length: 1000\r\n\r\n--b\r\n")
	if status := statusOf(t, c); status != http.StatusRequestTimeout {
		t.Errorf("%d", status)
	}
	soon(t, "it is left", s.queue.empty)
}

func TestASlowHeaderIsLeft(t *testing.T) {
	addr, _ := running(t, testServer(""))
	c := connect(t, addr, "GET / HTTP/1.1\r\nHost: ")
	begun := time.Now()
	if err := c.SetReadDeadline(begun.Add(4 * headerTime)); err != nil {
		t.Fatal(err)
	}
	if _, err := io.Copy(io.Discard, c); err != nil { // until the other end closes
		t.Error(err)
	}
	if took := time.Since(begun); took < headerTime/2 {
		t.Errorf("after %v", took)
	}
}

func TestALongHeaderIsRefused(t *testing.T) {
	addr, _ := running(t, testServer(""))
	for n, status := range map[int]int{maxHeader / 2: http.StatusOK, 2 * maxHeader: http.StatusRequestHeaderFieldsTooLarge} {
		c := connect(t, addr, "GET / HTTP/1.1\r\nHost: "+addr+"\r\nX: "+strings.Repeat("x", n)+"\r\n\r\n")
		if got := statusOf(t, c); got != status {
			t.Errorf("%d bytes: %d, want %d", n, got, status)
		}
	}
}

// A body that nobody wants is read all the same, or the sender would not hear why.
func TestWhoIsRefusedHearsWhy(t *testing.T) {
	s := testServer("")
	addr, _ := running(t, s)
	large := strings.Repeat("x", maxBody)
	if r, err := posted(t.Context(), http.DefaultClient, addr, "photo", large); err != nil || r.StatusCode != http.StatusRequestEntityTooLarge {
		t.Errorf("too large: %v, %v", r, err)
	}
	soon(t, "nobody is inside", s.queue.empty)
	for range maxInside {
		if _, no := s.queue.enter(0); no != nil {
			t.Fatal(no)
		}
	}
	r, err := posted(t.Context(), http.DefaultClient, addr, "photo", large[:maxBody/2])
	if err != nil || r.StatusCode != http.StatusServiceUnavailable {
		t.Fatalf("no room: %v, %v", r, err)
	}
	var text bytes.Buffer
	_, _ = text.ReadFrom(r.Body)
	if _, d := answerOf(t, text.Bytes()); d.Error == nil || d.Error.Kind != "server" {
		t.Errorf("no room: %+v", d.Error)
	}
}

// Serve ends although one reads a photo and another does not listen.
func TestServeEndsCleanly(t *testing.T) {
	s := testServer("")
	addr, end := running(t, s)
	connect(t, addr, "POST /answer HTTP/1.1\r\nHost: "+addr+"\r\nContent-Type: multipart/form-data; boundary=b\r\nContent-Length: 1000\r\n\r\n--b\r\n")
	go func() {
		settings := strings.Replace(mist, "{", `{"monte_carlo": "1000000", `, 1)
		if r, err := posted(context.Background(), http.DefaultClient, addr, "photo", numbered(2), "settings", settings); err == nil {
			r.Body.Close()
		}
	}()
	soon(t, "it is read", func() bool { return len(s.queue.turns) == 1 })
	begun := time.Now()
	if err := end(); err != nil {
		t.Error(err)
	}
	if took := time.Since(begun); took > 5*endTime {
		t.Errorf("after %v", took)
	}
	if _, err := net.Dial("tcp", addr); err == nil {
		t.Error("it listens still")
	}
}

// Memory goes back to the system once nobody has been inside for a while, and not before.
func TestMemoryGoesBack(t *testing.T) {
	q := newQueue()
	first, _ := q.enter(1)
	second, _ := q.enter(1)
	if q.rest.Stop() {
		t.Error("it would go while two are inside")
	}
	first()
	if q.rest.Stop() {
		t.Error("it would go while one is inside")
	}
	second()
	if !q.rest.Stop() {
		t.Error("it would never go")
	}
}
