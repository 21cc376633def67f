package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	qr "github.com/piglig/go-qr"

	"quadrille/cmd/internal/wire"
	"quadrille/testdata/photos"
)

// begin starts the program, and gives what it says of the page's address.
func begin(t *testing.T, args ...string) (c *exec.Cmd, urls []string, rest io.Reader) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c = &exec.Cmd{Path: self, Args: append([]string{"quadrille", "desk", "--no-browser"}, args...)}
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Process.Kill() })
	lines := bufio.NewReader(out)
	for {
		line, err := lines.ReadString('\n')
		if err != nil {
			t.Fatalf("it said %q and ended", urls)
		}
		if url := regexp.MustCompile(`http://\S+`).FindString(line); url != "" {
			urls = append(urls, url)
		}
		if strings.Contains(line, "Ctrl+C") {
			return c, urls, lines
		}
	}
}

func get(t *testing.T, client *http.Client, url string) (status int, body []byte) {
	t.Helper()
	r, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	body, err = io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, body
}

// The program serves its page on loopback until it is interrupted, and says nothing more.
func TestDeskServesThePageUntilItIsInterrupted(t *testing.T) {
	c, urls, rest := begin(t, "--port", "0")
	if len(urls) != 1 || !regexp.MustCompile(`^http://127\.0\.0\.1:\d+/$`).MatchString(urls[0]) {
		t.Fatalf("addresses %q", urls)
	}
	for path, begins := range map[string]string{"": "<!DOCTYPE html>", "samples": "[", "samples/slow-pale.jpg": "\xff\xd8"} {
		if status, body := get(t, http.DefaultClient, urls[0]+path); status != 200 || !bytes.HasPrefix(body, []byte(begins)) {
			t.Errorf("%q: status %d, %.40q", path, status, body)
		}
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	said, _ := io.ReadAll(rest)
	if err := c.Wait(); err != nil || len(said) != 0 {
		t.Errorf("it ended with %v and said %q", err, said)
	}
}

// With --lan the page is at the machine's own address too, and needs the key there and here.
func TestDeskInTheNetworkNeedsItsKey(t *testing.T) {
	if ownAddress() == nil {
		t.Skip("this machine is in no network") // .ci/run is: it fetches modules
	}
	c, urls, _ := begin(t, "--port", "0", "--lan")
	if len(urls) != 2 || urls[0] == urls[1] {
		t.Fatalf("addresses %q", urls)
	}
	for _, url := range urls {
		address, key, _ := strings.Cut(url, "?key=")
		if len(key) < 26 { // 128 bits in the 32 signs of RFC 4648's base32
			t.Errorf("the key is %q", key)
		}
		if status, _ := get(t, http.DefaultClient, address); status != http.StatusForbidden {
			t.Errorf("%s without the key: status %d", address, status)
		}
		if status, _ := get(t, http.DefaultClient, url); status != 200 {
			t.Errorf("%s: status %d", url, status)
		}
	}
	if err := c.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := c.Wait(); err != nil {
		t.Error(err)
	}
}

// Without --lan nothing listens at the machine's own address.
func TestDeskListensOnLoopbackOnly(t *testing.T) {
	own := ownAddress()
	if own == nil {
		t.Skip("this machine is in no network") // .ci/run is: it fetches modules
	}
	_, urls, _ := begin(t, "--port", "0")
	port := regexp.MustCompile(`:(\d+)/`).FindStringSubmatch(urls[0])[1]
	if c, err := net.DialTimeout("tcp", net.JoinHostPort(own.String(), port), 2*time.Second); err == nil {
		c.Close()
		t.Errorf("%s listens", c.RemoteAddr())
	}
}

func TestAPortThatIsTaken(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	taken := l.Addr().(*net.TCPAddr).Port
	if other, err := listen("127.0.0.1", deskOptions{port: taken}); err != nil {
		t.Errorf("the usual one: %v", err)
	} else {
		other.Close()
	}
	err = serveDesk(context.Background(), io.Discard, deskOptions{port: taken, given: true, noBrowser: true})
	if hint, status := advice(err); status != exitFailed || hint == "" {
		t.Errorf("a given one: %v, status %d", err, status)
	}
	for _, port := range []int{-1, 65536} {
		if _, status := advice(serveDesk(context.Background(), io.Discard, deskOptions{port: port, given: true, noBrowser: true})); status != exitUsage {
			t.Errorf("%d: status %d", port, status)
		}
	}
}

func TestNamesOfThePage(t *testing.T) {
	if got := hosts("4380", false); !slices.Equal(got, []string{"localhost:4380", "127.0.0.1:4380", "[::1]:4380"}) {
		t.Errorf("%q", got)
	}
	if got := hosts("80", false); !slices.Contains(got, "localhost") || !slices.Contains(got, "[::1]") {
		t.Errorf("on the port that browsers leave out: %q", got)
	}
	if own := ownAddress(); own != nil && !slices.Contains(hosts("4380", true), net.JoinHostPort(own.String(), "4380")) {
		t.Errorf("%s is not among %q", own, hosts("4380", true))
	}
}

// The code on the terminal, taken apart into its halves, reads as the address; by the decoder of the module that made
// it.
func TestTheCodeOnTheTerminalIsTheAddress(t *testing.T) {
	const url = "http://192.168.178.123:43801/?key=ABCDEFGHIJKLMNOPQRSTUVWXYZ"
	text, err := qrCode(url)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	const px = 4 // of a module in the picture
	var wide int
	img := image.NewGray(image.Rect(0, 0, 400, 400))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	for y, line := range lines {
		line = strings.TrimSuffix(strings.TrimPrefix(line, "\x1b[38;5;16;48;5;231m"), "\x1b[0m")
		for x, half := range []rune(line) {
			wide = max(wide, x+1)
			for k, dark := range []bool{half == '█' || half == '▀', half == '█' || half == '▄'} {
				for i := range px * px {
					if dark {
						img.SetGray(px*x+i%px, px*(2*y+k)+i/px, color.Gray{})
					}
				}
			}
		}
	}
	if wide > 80 || len(lines) > 24 {
		t.Errorf("%d columns and %d lines do not fit into a terminal", wide, len(lines))
	}
	if got, err := qr.Decode(img); err != nil || got != url {
		t.Errorf("%q, %v", got, err)
	}
}

// The photos that the page offers read without a doubt with the settings that come with them, and add no more than
// 1.5 MB to the program.
func TestSamplesReadWithTheirSettings(t *testing.T) {
	list, err := fs.ReadFile(photos.Samples, "samples.json")
	if err != nil {
		t.Fatal(err)
	}
	var samples []struct {
		File, Says string
		Settings   json.RawMessage
	}
	if err := json.Unmarshal(list, &samples); err != nil {
		t.Fatal(err)
	}
	bytes := 0
	for _, s := range samples {
		photo, err := fs.ReadFile(photos.Samples, s.File)
		if err != nil {
			t.Fatal(err)
		}
		bytes += len(photo)
		a := new(wire.Reader).AnswerJSON(t.Context(), photo, s.Settings)
		if a.Status() != 200 || len(a.Reading.AllDoubts()) != 0 || len(a.Document.Results) == 0 || s.Says == "" {
			t.Errorf("%s: status %d, %+v, doubts %v", s.File, a.Status(), a.Document.Error, a.Reading.AllDoubts())
		}
	}
	if files, err := fs.Glob(photos.Samples, "*.jpg"); err != nil || len(files) != len(samples) || len(files) < 5 {
		t.Errorf("%d are listed of %q, %v", len(samples), files, err)
	}
	if bytes > 1.5e6 {
		t.Errorf("%d bytes", bytes)
	}
}
