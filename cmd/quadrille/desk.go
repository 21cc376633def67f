package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strconv"

	"github.com/spf13/cobra"

	"quadrille/cmd/internal/desk"
	"quadrille/testdata/photos"
)

// usualPort is where the page is if nothing else is there: always the same, so that a browser knows the page again.
// Any number above those of the system would do.
const usualPort = 4380

// deskOptions are the flags of desk.
type deskOptions struct {
	port      int
	given     bool // the port was, and no other will do
	lan       bool
	noBrowser bool
}

func newDesk() *cobra.Command {
	var o deskOptions
	c := &cobra.Command{
		Use:   "desk",
		Short: "Read photos on a page in the browser",
		Long: `Desk serves a page on which you read photos: with the grid drawn over the photo,
its corners to be dragged, the settings beside the enlarged rims of the display,
and the results with their graphs. It opens the page in your browser and prints
its address; Ctrl+C ends it.

Only this computer can open the page. With --lan all phones and computers in its
network can, if they have the address with the key that is made anew at each
start: scan the code in the terminal.

Privacy: photos stay in this computer's memory, at most ten minutes after the
last request; nothing is written to disk or sent elsewhere. With --lan, photos
and results go over the network without encryption, and whoever can listen in it
sees them and the key. Use it in a network that you trust, with photos that may
be seen: a screen, no faces, no names. Whoever has the address can use the page
until you end it.

` + cautions,
		Example: `  quadrille desk
  quadrille desk --lan --no-browser`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 0 {
				return &usageError{fmt.Sprintf("desk takes no %q", args[0]), "quadrille desk, and choose the photo on the page"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			o.given = c.Flags().Changed("port")
			return serveDesk(c.Context(), c.OutOrStdout(), o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.IntVar(&o.port, "port", usualPort, "of the address; 0 takes any that is free")
	f.BoolVar(&o.noBrowser, "no-browser", false, "do not open the page, only print its address")
	f.BoolVar(&o.lan, "lan", false, "let the phones and computers of this network open the page, with a key")
	return c
}

// serveDesk serves the page until ctx is done.
func serveDesk(ctx context.Context, out io.Writer, o deskOptions) error {
	if o.port < 0 || o.port > 65535 {
		return &usageError{fmt.Sprintf("%d is no port", o.port), "give a number from 1024 to 65535, or 0 for any that is free"}
	}
	var own net.IP
	key, bind := "", "127.0.0.1"
	if o.lan {
		if own = ownAddress(); own == nil {
			return &serverError{"this computer is in no network", "join the network that the phones are in, or leave --lan out"}
		}
		key, bind = rand.Text(), ""
	}
	l, err := listen(bind, o)
	if err != nil {
		return err
	}
	serving.Store(true)
	raiseMemoryLimit()
	port := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	here := address("127.0.0.1", port, key)
	if err := announce(out, here, own, port, key); err != nil {
		l.Close()
		return err
	}
	if !o.noBrowser {
		openBrowser(here)
	}
	h := desk.Handler(desk.Page, desk.Options{Hosts: hosts(port, o.lan), Key: key, Samples: photos.Samples})
	if err := desk.Serve(ctx, l, h); err != nil {
		return &serverError{err.Error(), "start it again"}
	}
	return nil
}

// listen takes the port; if the usual one is taken, by another desk perhaps, any.
func listen(bind string, o deskOptions) (net.Listener, error) {
	l, err := net.Listen("tcp", net.JoinHostPort(bind, strconv.Itoa(o.port)))
	if err != nil && !o.given {
		l, err = net.Listen("tcp", net.JoinHostPort(bind, "0"))
	}
	if err != nil {
		return nil, &serverError{err.Error(), "give another --port, or 0 for any that is free"}
	}
	return l, nil
}

func address(host, port, key string) string {
	a := "http://" + net.JoinHostPort(host, port) + "/"
	if key != "" {
		a += "?key=" + key
	}
	return a
}

// announce prints where the page is; own is nil unless phones may open it.
func announce(out io.Writer, here string, own net.IP, port, key string) error {
	text := "The page is at " + here + "\n"
	if own != nil {
		there := address(own.String(), port, key)
		text += "For phones in this network: " + there + "\n"
		if isTerminal(out) {
			code, err := qrCode(there)
			if err != nil {
				return err
			}
			text += "\n" + code + "\n"
		}
		text += "Photos go over the network without encryption. Whoever has the address can use the page.\n"
	}
	_, err := io.WriteString(out, text+"Nothing is written to disk. Ctrl+C ends it.\n")
	return err
}

// hosts are the names under which a browser may ask for the page: of this computer for itself, and with lan its
// addresses in its networks.
func hosts(port string, lan bool) []string {
	names := []string{"localhost", "127.0.0.1", "::1"}
	if lan {
		for _, ip := range ownAddresses() {
			names = append(names, ip.String())
		}
	}
	var out []string
	for _, n := range names {
		h := net.JoinHostPort(n, port)
		out = append(out, h)
		if port == "80" { // which browsers leave out
			out = append(out, h[:len(h)-len(":80")])
		}
	}
	return out
}

// ownAddresses are the addresses of this computer in its networks.
func ownAddresses() []net.IP {
	addrs, _ := net.InterfaceAddrs() // without them there is no network
	var out []net.IP
	for _, a := range addrs {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsGlobalUnicast() {
			out = append(out, n.IP)
		}
	}
	return out
}

// ownAddress is the address that phones reach best: the one from which this computer goes out, else the first. Nothing
// is sent; 192.0.2.1 is nobody's (RFC 5737).
func ownAddress() net.IP {
	if c, err := net.Dial("udp4", "192.0.2.1:9"); err == nil {
		defer c.Close()
		if ip := c.LocalAddr().(*net.UDPAddr).IP; ip.IsGlobalUnicast() {
			return ip
		}
	}
	all := ownAddresses()
	for _, ip := range all {
		if ip.To4() != nil {
			return ip
		}
	}
	if len(all) > 0 {
		return all[0]
	}
	return nil
}

// openBrowser opens the page in the person's browser, if there is one; if not, the address has been printed.
func openBrowser(url string) {
	name, args := "xdg-open", []string{url}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", url}
	default:
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return // xdg-open would start a browser of the terminal
		}
	}
	c := exec.Command(name, args...)
	if c.Start() == nil {
		go func() { _ = c.Wait() }() // it may last as long as the browser
	}
}
