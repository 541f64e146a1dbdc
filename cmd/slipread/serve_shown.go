package main

import (
	"fmt"
	"io"
	"net"
	"os"

	"golang.org/x/term"

	"graftslip/cmd/slipread/internal/terminal"
)

// shown is what the terminal shows of a page.
type shown struct {
	out      io.Writer
	ledger   string
	readOnly bool
	lan      bool
	hosts    []string
	port     string
}

// start says what is served, to whom, and how it ends, and shows the first key.
func (s shown) start(key string) error {
	text := "ledger: " + s.ledger + "\n"
	if s.readOnly {
		text += "the page only reads: it takes no entries and prints no tags\n"
	}
	if !s.lan {
		text += "only this computer reaches the page; with --lan phones of the same network do\n"
	}
	if _, err := fmt.Fprint(s.out, text+"Ctrl+C stops it\n\n"); err != nil {
		return err
	}
	return s.key("this address lets one phone in", key)
}

// next shows the key that lets another phone in.
func (s shown) next(key string) error { return s.key("the next phone", key) }

// key shows the address that lets a phone in, behind words that say so.
func (s shown) key(words, key string) error {
	address := func(host string) string { return "http://" + net.JoinHostPort(host, s.port) + "/open/" + key }
	text := ""
	if drawn(s.out) {
		picture, err := terminal.QR(address(s.hosts[0]))
		if err != nil {
			return err
		}
		text = picture + "\n"
	}
	text += words + ": " + address(s.hosts[0]) + "\n"
	for _, host := range s.hosts[1:] {
		text += fmt.Sprintf("%*s: %s\n", len(words), "or", address(host))
	}
	_, err := fmt.Fprintf(s.out, "%skey to type: %s-%s-%s\n", text, key[:4], key[4:8], key[8:])
	return err
}

// drawn reports whether the code is drawn, with the colours of a terminal: not into
// a file.
func drawn(out io.Writer) bool {
	file, is := out.(*os.File)
	return !is || term.IsTerminal(int(file.Fd()))
}
