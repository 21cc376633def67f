// Who is answered. The server is on a person's own machine, and other pages in that person's browser can send requests
// to it; so can, with --lan, everyone in the network. Three questions in this order, on every method:
//
// Host: a page of elsewhere whose name was made to point here (DNS rebinding) has its own name there. Only the names
// and addresses of this machine with the port are taken (RFC 9110, 7.2 and 15.5.20).
//
// Origin, and Sec-Fetch-Site where a browser sends it: who asks must be this page. A person who follows a link to the
// page may come from anywhere (RFC 6454; W3C Fetch Metadata Request Headers).
//
// Key: with --lan, made anew at each start. It comes with the address once, from which the page takes it away, and then
// by a cookie that scripts cannot read and other sites cannot send, or in a header.

package desk

import (
	"crypto/subtle"
	"net"
	"net/http"
	"slices"
	"strings"
)

type guard struct {
	hosts []string
	key   string
}

// check gives nil for a request that is to be answered. A first visit with the key gets its cookie.
func (g guard) check(w http.ResponseWriter, r *http.Request) *refusal {
	switch {
	case !slices.Contains(g.hosts, strings.ToLower(r.Host)):
		return &refusal{http.StatusMisdirectedRequest, "server", "this is not the address of this page", "open the address that the terminal shows"}
	case !ownOrigin(r):
		return &refusal{http.StatusForbidden, "server", "another page may not ask here", "open the address that the terminal shows"}
	case g.key != "" && !g.hasKey(w, r):
		return keyless
	}
	return nil
}

// keyless may be told to a person whose browser has forgotten the key.
var keyless = &refusal{http.StatusForbidden, "server", "this page needs its whole address, with the key at its end", "scan the code in the terminal again, or type the whole address that stands there"}

// ownOrigin says whether a request comes from the page itself, from a person, or from no browser.
func ownOrigin(r *http.Request) bool {
	site := r.Header.Get("Sec-Fetch-Site")
	switch origin := r.Header.Get("Origin"); {
	case origin == "http://"+r.Host:
	case origin == "null" && site == "same-origin": // some browsers hide the origin of a page that sends no referrer
	case origin != "":
		return false
	}
	switch site {
	case "", "none", "same-origin":
		return true
	}
	return (r.Method == http.MethodGet || r.Method == http.MethodHead) &&
		r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
}

func (g guard) hasKey(w http.ResponseWriter, r *http.Request) bool {
	name := cookieName(r.Host)
	if r.URL.Path == "/" && g.opens(r.URL.Query().Get("key")) {
		http.SetCookie(w, &http.Cookie{Name: name, Value: g.key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		return true
	}
	return g.opens(r.Header.Get("X-Quadrille-Key")) ||
		slices.ContainsFunc(r.CookiesNamed(name), func(c *http.Cookie) bool { return g.opens(c.Value) })
}

// opens compares in a time that does not tell how much of a key is right.
func (g guard) opens(key string) bool {
	return subtle.ConstantTimeCompare([]byte(key), []byte(g.key)) == 1
}

// cookieName has the port, because browsers send cookies to all ports of a machine.
func cookieName(host string) string {
	_, port, err := net.SplitHostPort(host)
	if err != nil {
		port = "80"
	}
	return "quadrille-key-" + port
}
