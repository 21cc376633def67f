package desk

import (
	"net/http"
	"strings"
	"testing"
)

func TestOnlyOwnNamesAreAnswered(t *testing.T) {
	s := testServer("")
	for host, status := range map[string]int{
		"127.0.0.1:4380": 200, "localhost:4380": 200, "LocalHost:4380": 200, "192.168.7.7:4380": 200,
		"127.0.0.1": 421, "127.0.0.1:80": 421, "localhost:4381": 421, "mist.example:4380": 421, "": 421,
		"127.0.0.1.mist.example:4380": 421, "192.168.7.8:4380": 421, "localhost.:4380": 421, "0.0.0.0:4380": 421,
		"127.0.0.1:4380.mist.example": 421, "[::ffff:127.0.0.1]:4380": 421, "user@127.0.0.1:4380": 421,
	} {
		for _, method := range []string{"GET", "HEAD", "POST", "OPTIONS", "PUT", "BREW"} {
			want := status
			if status == 200 && method != "GET" && method != "HEAD" {
				want = http.StatusMethodNotAllowed // so far it came
			}
			if w := ask(s, method, "/", "Host: "+host); w.Code != want {
				t.Errorf("%s for %q: %d, want %d", method, host, w.Code, want)
			}
		}
	}
}

// What browsers send of themselves: Origin by RFC 6454 and the Fetch standard, Sec-Fetch by W3C's Fetch Metadata.
func TestOnlyOwnPagesAreAnswered(t *testing.T) {
	s := testServer("")
	link := []string{"Sec-Fetch-Mode: navigate", "Sec-Fetch-Dest: document"}
	for _, c := range []struct {
		what   string
		method string
		fields []string
		own    bool
	}{
		{"no browser", "POST", nil, true},
		{"the page", "POST", []string{"Origin: http://127.0.0.1:4380"}, true},
		{"the page, as new browsers say it", "POST", []string{"Origin: http://127.0.0.1:4380", "Sec-Fetch-Site: same-origin"}, true},
		{"the page, in a browser that hides it", "POST", []string{"Origin: null", "Sec-Fetch-Site: same-origin"}, true},
		{"an unknown page", "POST", []string{"Origin: null"}, false},
		{"an unknown page elsewhere", "POST", []string{"Origin: null", "Sec-Fetch-Site: cross-site"}, false},
		{"a page elsewhere", "POST", []string{"Origin: https://mist.example"}, false},
		{"a page elsewhere reads", "GET", []string{"Origin: https://mist.example"}, false},
		{"a page elsewhere asks whether it may", "OPTIONS", []string{"Origin: https://mist.example"}, false},
		{"the page under another name", "POST", []string{"Origin: http://localhost:4380"}, false},
		{"another port", "POST", []string{"Origin: http://127.0.0.1:8080", "Sec-Fetch-Site: same-site"}, false},
		{"the same, encrypted", "POST", []string{"Origin: https://127.0.0.1:4380"}, false},
		{"a form elsewhere", "POST", append(link, "Sec-Fetch-Site: cross-site"), false},
		{"a person types the address", "GET", append(link, "Sec-Fetch-Site: none"), true},
		{"a link elsewhere", "GET", append(link, "Sec-Fetch-Site: cross-site"), true},
		{"a frame elsewhere", "GET", []string{"Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: navigate", "Sec-Fetch-Dest: iframe"}, false},
		{"a picture elsewhere", "GET", []string{"Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: no-cors", "Sec-Fetch-Dest: image"}, false},
		{"a picture on another port", "GET", []string{"Sec-Fetch-Site: same-site", "Sec-Fetch-Mode: no-cors"}, false},
	} {
		path := "/"
		if c.method == "POST" {
			path = "/answer"
		}
		w := ask(s, c.method, path, c.fields...)
		if refused := w.Code == http.StatusForbidden; refused == c.own {
			t.Errorf("%s: %d", c.what, w.Code)
		}
		if w.Header().Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s may read it", c.what)
		}
	}
}

func TestTheKeyIsNeeded(t *testing.T) {
	const key = "MIST7TIMER7GREEN7HOUSE77"
	s := testServer(key)
	for _, c := range []struct {
		what   string
		path   string
		fields []string
		opens  bool
	}{
		{"none", "/", nil, false},
		{"none, for a file", "/app.js", nil, false},
		{"none, for an answer", "/answer", nil, false},
		{"none, for what is not there", "/nothing", nil, false},
		{"an empty one", "/?key=", []string{"X-Quadrille-Key: ", "Cookie: quadrille-key-4380="}, false},
		{"a wrong one", "/?key=" + strings.ToLower(key), nil, false},
		{"the beginning", "/?key=" + key[:23], nil, false},
		{"more than it", "/?key=" + key + "7", nil, false},
		{"in the address of a file", "/app.js?key=" + key, nil, false},
		{"in the address", "/?key=" + key, nil, true},
		{"in the header", "/app.js", []string{"X-Quadrille-Key: " + key}, true},
		{"a wrong one in the header", "/app.js", []string{"X-Quadrille-Key: " + key[1:]}, false},
		{"in the cookie", "/answer", []string{"Cookie: quadrille-key-4380=" + key}, true},
		{"in the cookie of another desk", "/app.js", []string{"Cookie: quadrille-key-4381=" + key}, false},
		{"a wrong one in the cookie", "/app.js", []string{"Cookie: quadrille-key-4380=" + key[1:]}, false},
	} {
		for _, method := range []string{"GET", "HEAD", "POST", "OPTIONS"} {
			w := ask(s, method, c.path, c.fields...)
			if refused := w.Code == http.StatusForbidden; refused == c.opens {
				t.Errorf("%s, %s: %d", c.what, method, w.Code)
			}
			if strings.Contains(w.Body.String(), key) {
				t.Errorf("%s, %s: the answer tells the key", c.what, method)
			}
			cookie := w.Header().Get("Set-Cookie")
			if (cookie != "") != (c.opens && strings.HasPrefix(c.path, "/?")) {
				t.Errorf("%s, %s sets the cookie %q", c.what, method, cookie)
			}
			if cookie != "" && cookie != "quadrille-key-4380="+key+"; Path=/; HttpOnly; SameSite=Strict" {
				t.Errorf("the cookie is %q", cookie)
			}
		}
	}
	// Neither does the key help where Host or Origin are wrong, nor is it looked at there.
	for _, wrong := range []string{"Host: mist.example:4380", "Origin: https://mist.example"} {
		if w := ask(s, "GET", "/?key="+key, wrong); w.Code == 200 || w.Header().Get("Set-Cookie") != "" {
			t.Errorf("%s with the key: %d", wrong, w.Code)
		}
	}
}
