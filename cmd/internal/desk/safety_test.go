package desk

// What a page of elsewhere, a careless program or a curious neighbour may send: each is refused with the right status,
// at once, and leaves nothing behind.

import (
	"bufio"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"net/http"
	"os"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"testing"
	"time"
)

// A forged Host is refused on every method at every address, before anything else is asked.
func TestAForgedHostIsRefusedOnEveryMethod(t *testing.T) {
	const key = "MIST7TIMER7GREEN7HOUSE77"
	for _, s := range []*server{testServer(""), testServer(key)} {
		for _, method := range []string{"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "BREW"} {
			for _, path := range []string{"/", "/?key=" + key, "/app.js", "/samples", "/samples/a.jpg", "/answer", "/file", "/nothing", "/../app.js"} {
				body := &untouched{}
				w := do(s, method, path, body, "Host: mist.example:4380", "Origin: http://mist.example:4380", "X-Quadrille-Key: "+key)
				if w.Code != http.StatusMisdirectedRequest || w.Header().Get("Set-Cookie") != "" || body.read {
					t.Errorf("%s %s: %d, %v, body read: %v", method, path, w.Code, w.Header(), body.read)
				}
			}
		}
	}
}

// An untouched body says whether somebody has read it.
type untouched struct{ read bool }

func (u *untouched) Read([]byte) (int, error) {
	u.read = true
	return 0, io.EOF
}

// hugeHeaders are files that end behind a header which says 12,500 × 8,000 pixels, by its kind.
func hugeHeaders() map[string][]byte {
	const w, h = 12500, 8000
	be16, be32, le32 := binary.BigEndian.AppendUint16, binary.BigEndian.AppendUint32, binary.LittleEndian.AppendUint32
	ihdr := append(be32(be32([]byte("IHDR"), w), h), 8, 2, 0, 0, 0) // W3C PNG, 11.2.1: 8 bits of red, green and blue
	png := append(be32([]byte("\x89PNG\r\n\x1a\n"), 13), ihdr...)
	png = be32(png, crc32.ChecksumIEEE(ihdr))
	sof := append(be16(be16([]byte{0xff, 0xd8, 0xff, 0xc0, 0, 17, 8}, h), w), 3, 1, 0x22, 0, 2, 0x11, 0, 3, 0x11, 0) // ITU-T T.81, B.2.2
	riff := func(kind string, chunk ...byte) []byte {                                                                // RFC 9649, 2.3 and 2.4
		b := append(le32([]byte("RIFF"), uint32(12+len(chunk))), "WEBP"+kind...)
		return append(le32(b, uint32(len(chunk))), chunk...)
	}
	vp8l := le32([]byte{0x2f}, (w-1)|(h-1)<<14)                                                    // RFC 9649, 3.4
	vp8x := []byte{0, 0, 0, 0, (w - 1) & 0xff, (w - 1) >> 8, 0, (h - 1) & 0xff, (h - 1) >> 8, 0}   // 2.7
	vp8 := []byte{0x10, 2, 0, 0x9d, 1, 0x2a, w & 0xff, w >> 8, h & 0xff, h >> 8, 0, 0, 0, 0, 0, 0} // RFC 6386, 9.1
	return map[string][]byte{
		"PNG": png, "JPEG": append(sof, 0xff, 0xda, 0, 12, 3, 1, 0, 2, 0x11, 3, 0x11, 0, 63, 0), "lossless WebP": riff("VP8L", vp8l...),
		"WebP": riff("VP8 ", vp8...), "extended WebP": append(riff("VP8X", vp8x...), "VP8 "...),
	}
}

// A header that says 100 megapixels is refused in words, without the memory and the time that they would take.
func TestAHundredMegapixelsInAHeader(t *testing.T) {
	const most = 4 << 20 // bytes, of the answer's making; a byte a pixel would be 100 MB
	s := testServer("")
	post(s, "/answer", "photo", "a text") // what is made once is made
	for name, photo := range hugeHeaders() {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		begun := time.Now()
		w := post(s, "/answer", "photo", string(photo), "settings", mist)
		took := time.Since(begun)
		runtime.ReadMemStats(&after)
		_, d := answerOf(t, w.Body.Bytes())
		if w.Code != http.StatusUnsupportedMediaType || d.Error == nil || !strings.Contains(d.Error.Reason, "12500×8000 pixels") || !strings.Contains(string(d.Error.Hint), "smaller") {
			t.Errorf("%s: %d, %+v", name, w.Code, d.Error)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > most || took > time.Second {
			t.Errorf("%s: %d kB, %v", name, used>>10, took)
		} else {
			t.Logf("%s: %d kB, %v", name, used>>10, took)
		}
	}
}

// What is done to the words of a request on its way does not lead out of the page's files: raw, as no client would send
// it.
func TestRawPathsLeadNowhere(t *testing.T) {
	addr, _ := running(t, testServer(""))
	for line, status := range map[string]int{
		"GET /../../etc/passwd HTTP/1.1":                 404,
		"GET /samples/../../desk.go HTTP/1.1":            404,
		"GET /%2e%2e/%2e%2e/etc/passwd HTTP/1.1":         404,
		"GET //mist.example/ HTTP/1.1":                   404,
		"GET /samples/..\\..\\desk.go HTTP/1.1":          404,
		"GET /parts/ HTTP/1.1":                           404,
		"HEAD /parts/ HTTP/1.1":                          404,
		"GET http://mist.example:4380/ HTTP/1.1":         421, // RFC 9112, 3.2.2: its own host counts
		"POST http://mist.example:4380/answer HTTP/1.1":  421,
		"OPTIONS * HTTP/1.1":                             405, // and not from net/http, which asks for no host
		"CONNECT mist.example:443 HTTP/1.1":              421,
		"GET /app.js HTTP/1.1\r\nHost: mist.example":     400, // two hosts
		"GET /\x00 HTTP/1.1":                             400,
		"POST /answer HTTP/1.1\r\nTransfer-Encoding: xy": 501,
	} {
		c := connect(t, addr, line+"\r\nHost: "+addr+"\r\n\r\n")
		if got := statusOf(t, c); got != status {
			t.Errorf("%q: %d, want %d", line, got, status)
		}
		c.Close()
	}
}

// The key is in nothing that is said: no page, no file, no refusal, no header but that of its cookie; and the page may
// send nobody where it came from. Serve logs nothing at all, as TestDeskServesThePageUntilItIsInterrupted holds.
func TestTheKeyIsNeverTold(t *testing.T) {
	const key = "MIST7TIMER7GREEN7HOUSE77"
	s := testServer(key)
	for _, path := range []string{"/", "/?key=" + key, "/?key=x" + key, "/app.js", "/samples", "/answer", "/answer?key=" + key, "/file", "/nothing?" + key, "/" + key} {
		for _, method := range []string{"GET", "HEAD", "POST", "OPTIONS"} {
			for _, fields := range [][]string{nil, {"X-Quadrille-Key: " + key}, {"Host: " + key + ".example"}, {"Origin: http://" + key}} {
				w := ask(s, method, path, fields...)
				if strings.Contains(w.Body.String(), key) {
					t.Errorf("%s %s %q: the body has the key", method, path, fields)
				}
				for name, values := range w.Header() {
					if name != "Set-Cookie" && strings.Contains(strings.Join(values, " "), key) {
						t.Errorf("%s %s %q: %s has the key", method, path, fields, name)
					}
				}
				if w.Header().Get("Referrer-Policy") != "no-referrer" {
					t.Errorf("%s %s: the page may say where it came from", method, path)
				}
			}
		}
	}
}

// Two hundred at once of all that is wrong: each is told what, and afterwards there is no more of anything than before.
func TestTwoHundredThatAreWrong(t *testing.T) {
	const posts, more = 200, 20 << 20 // bytes that may be left behind
	s := testServer("")
	s.bodyTime = 300 * time.Millisecond
	addr, end := running(t, s)
	head := func(length int, fields string) string {
		return fmt.Sprintf("POST /answer HTTP/1.1\r\nHost: %s\r\nContent-Type: multipart/form-data; boundary=b\r\nContent-Length: %d\r\n%s\r\n", addr, length, fields)
	}
	kinds := []struct {
		what, text string
		hangsUp    bool
		statuses   []int // 0 where there is nobody to be told
	}{
		{"a forged host", strings.Replace(head(1000, ""), "Host: ", "Host: mist.example", 1), false, []int{421}},
		{"a forged origin", head(1000, "Origin: https://mist.example\r\n"), false, []int{403}},
		{"a slow body", head(1000, "") + "--b\r\n", false, []int{408, 503}},
		{"too large", head(maxBody+1, ""), false, []int{413, 503}},
		{"no form", head(6, "") + "no way", false, []int{400, 503}},
		{"a form that breaks off", head(70, "") + "--b\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a\"\r\n\r\n", true, []int{0, 400, 503}},
		{"one who hangs up", head(1<<20, "") + strings.Repeat("x", 1000), true, []int{0, 400, 503}},
		{"an endless header", "GET / HTTP/1.1\r\nX: " + strings.Repeat("x", 2*maxHeader), false, []int{431}},
	}
	attack := func(n int) {
		k := kinds[n%len(kinds)]
		c := connect(t, addr, k.text)
		defer c.Close()
		if k.hangsUp {
			return
		}
		_ = c.SetReadDeadline(time.Now().Add(30 * time.Second))
		r, err := http.ReadResponse(bufio.NewReader(c), nil)
		status := 0
		if err == nil {
			status = r.StatusCode
			r.Body.Close()
		}
		for _, want := range k.statuses {
			if status == want {
				return
			}
		}
		t.Errorf("%s: %d, %v, want one of %v", k.what, status, err, k.statuses)
	}
	all := func() {
		var done sync.WaitGroup
		for n := range posts {
			done.Go(func() { attack(n) })
		}
		done.Wait()
		soon(t, "nobody is inside", s.queue.empty)
	}
	state := func() (goroutines int, heap, system uint64) {
		debug.FreeOSMemory()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return runtime.NumGoroutine(), m.HeapAlloc, m.Sys - m.HeapReleased
	}
	attack(0)
	goroutines, heap, system := state()
	all()
	soon(t, "the connections are closed", func() bool { return runtime.NumGoroutine() <= goroutines+1 })
	_, heapAfter, systemAfter := state()
	t.Logf("of the heap %+d kB, of the system %+d kB", (int64(heapAfter)-int64(heap))>>10, (int64(systemAfter)-int64(system))>>10)
	if heapAfter > heap+more || systemAfter > system+more {
		t.Errorf("of the heap %d MB before, %d MB after; of the system %d and %d", heap>>20, heapAfter>>20, system>>20, systemAfter>>20)
	}
	if err := end(); err != nil {
		t.Error(err)
	}
}

// Work ends soon after its person has left, whatever the stage: within 50 ms on two idle cores (BenchmarkCancelled of
// wire). Here, where other tests run beside it, a third of the time that the whole takes is allowed, or 150 ms, in the
// best of five tries. A server that made the pictures all the same took more.
func TestWorkEndsSoonAfterItsPersonLeaves(t *testing.T) {
	large, err := os.ReadFile("../../../testdata/photos/slow-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	s := testServer("")
	addr, _ := running(t, s)
	begun := time.Now()
	if w := post(s, "/answer", "photo", string(large), "settings", mist); w.Code != http.StatusOK {
		t.Fatal(w.Code)
	}
	soonest := max(150*time.Millisecond, time.Since(begun)/3)
	for _, c := range []struct {
		what, settings string
		after          time.Duration
	}{
		{"the photo is decoded", mist, 2 * time.Millisecond}, {"its grid is sought", mist, 60 * time.Millisecond},
		{"trials are drawn", strings.Replace(mist, "{", `{"monte_carlo": "1000000", `, 1), 900 * time.Millisecond},
	} {
		least := time.Hour
		for try := 0; try < 5 && least > soonest; try++ {
			s.forget()
			ctx, leave := context.WithCancel(t.Context())
			answered := make(chan struct{})
			go func() {
				defer close(answered)
				if r, err := posted(ctx, http.DefaultClient, addr, "photo", string(bytes.Clone(large)), "settings", c.settings); err == nil {
					r.Body.Close()
				}
			}()
			soon(t, "it is read", func() bool { return len(s.queue.turns) == 1 })
			time.Sleep(c.after)
			begun := time.Now()
			leave()
			for len(s.queue.turns) > 0 && time.Since(begun) < 20*time.Second {
				time.Sleep(time.Millisecond)
			}
			least = min(least, time.Since(begun))
			<-answered
		}
		t.Logf("%s: %v, at most %v", c.what, least, soonest)
		if least > soonest {
			t.Errorf("%s: it went on for %v", c.what, least)
		}
	}
}
