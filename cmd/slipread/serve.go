package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"os"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/net/netutil"
	"golang.org/x/term"

	"graftslip/cmd/internal/command"
	"graftslip/cmd/internal/site"
	"graftslip/cmd/slipread/internal/terminal"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
)

// serveFlags are the flags of "serve".
type serveFlags struct {
	printing command.PrintFlags
	ledger   string
	address  string
	lan      bool
	readOnly bool
	forget   bool
}

func (p program) serveCommand() *cobra.Command {
	f := serveFlags{printing: command.NewPrintFlags()}
	c := &cobra.Command{
		Use:   "serve",
		Short: "Serve a page for phones at the mist bed",
		Long: `Serve a page for phones at the mist bed: scan a label, see the record, enter what you see, print a
lost label or card again.

The screen shows the address of the page, also as a QR code for the phone's camera. The key in the
address lets one phone in, for half a year. Then the next key is shown.

Without --lan only this computer reaches the page. With --lan, phones in the same network reach it.
What they send is not encrypted: use a network of your own, not a guest network.

A write-protected ledger needs --read-only. Stop all other pages of the ledger before you use
--forget-phones: a running page still admits its phones. Days and times are those of this computer,
not of the phones. The options from --stems on set how labels and cards are printed again, as for
graftslip reprint.`,
		Example: "  slipread serve --lan\n  slipread serve --lan --read-only --addr :8418",
		Args:    command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			return p.serve(c.Context(), f, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.address, "addr", "127.0.0.1:8417", "`ADDRESS` and port of the page")
	flags.BoolVar(&f.lan, "lan", false, "let phones in the same network reach the page")
	flags.BoolVar(&f.readOnly, "read-only", false, "show records, take no entries")
	flags.BoolVar(&f.forget, "forget-phones", false, "let in no phone that was let in before")
	command.LedgerFlag(flags, &f.ledger)
	f.printing.Register(flags)
	return c
}

func (p program) serve(ctx context.Context, f serveFlags, stdout, stderr io.Writer) error {
	if f.readOnly && f.forget {
		return &command.UsageError{Err: errors.New("--forget-phones changes the ledger, and --read-only forbids that")}
	}
	host, port, err := bind(f.address, f.lan)
	if err != nil {
		return err
	}
	book, err := command.OpenLedger(ctx, f.ledger, ledger.WithClock(p.now))
	if err != nil {
		return err
	}
	defer book.Close()
	if !f.readOnly {
		if err := checkWritable(ctx, book); err != nil {
			return err
		}
	}
	hosts, err := reachableHosts(ctx, host, f.lan)
	if err != nil {
		return err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	options, err := p.siteOptions(f, book, renderer, stderr)
	if err != nil {
		return err
	}
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", net.JoinHostPort(host, port))
	if err != nil {
		return &command.HintedError{Err: fmt.Errorf("the page cannot be served: %w", err), Advice: "the page may already be running, or the address may belong to another computer; give another with --addr, such as --addr :8418"}
	}
	defer listener.Close()
	if f.forget { // now that nothing else stands in the way
		if err := book.ForgetPhones(ctx); err != nil {
			return err
		}
	}
	pages, err := site.New(ctx, options)
	if err != nil {
		return err
	}
	_, port, _ = net.SplitHostPort(listener.Addr().String()) // it has one
	show := console{out: stdout, ledger: book.Path(), readOnly: f.readOnly, lan: f.lan, hosts: hosts, port: port}
	return servePage(ctx, phoneLimits(), listener, pages, show)
}

// checkWritable makes sure that the ledger can be written, so that nobody finds out at
// the mist bed. What it writes is rolled back; a change that writes nothing would also
// succeed on a read-only ledger.
func checkWritable(ctx context.Context, book *ledger.Ledger) error {
	written := errors.New("the ledger can be written")
	err := book.Change(ctx, func(c *ledger.Change) error {
		if err := c.Remember(ctx, records.Sheet{Name: "tried by slipread serve", Stock: "none"}); err != nil {
			return err
		}
		return written
	})
	switch {
	case errors.Is(err, written):
		return nil
	case errors.Is(err, ledger.ErrUnusable):
		return &command.HintedError{Err: err, Advice: "or use --read-only: the page then shows records and takes no entries"}
	}
	return err
}

// siteOptions are what the page is made of.
func (p program) siteOptions(f serveFlags, book *ledger.Ledger, renderer *scan.Renderer, stderr io.Writer) (site.Options, error) {
	calendar, err := command.LoadCalendar()
	if err != nil {
		return site.Options{}, err
	}
	f.printing.Calendar = calendar
	maker, err := newReprinter(f.printing)
	if err != nil {
		return site.Options{}, err
	}
	return site.Options{
		Ledger: book, Now: p.now, Calendar: calendar, Dates: f.printing.Dates, Nursery: f.printing.Nursery,
		ReadPhoto: renderer.File, Reprint: maker.Reprint, Positions: maker.Positions, ReadOnly: f.readOnly, WrongKeyDelay: time.Second,
		Plot:   plotOf,
		Report: reportTo(stderr),
	}, nil
}

// reportTo reports the errors of concurrent requests one at a time.
func reportTo(stderr io.Writer) func(error) {
	var mutex sync.Mutex
	return func(err error) {
		mutex.Lock()
		defer mutex.Unlock()
		command.Report(stderr, err)
	}
}

// limits bound the time and connections of phones.
type limits struct {
	head, body, idle time.Duration // for the head of a request; for all of it, and for its answer; until the next
	end              time.Duration // for requests under way when the page ends
	connections      int
	header           int // bytes
}

// phoneLimits suit phones at the edge of a network.
func phoneLimits() limits {
	return limits{head: 10 * time.Second, body: 2 * time.Minute, idle: 2 * time.Minute, end: 5 * time.Second, connections: 512, header: 16 << 10}
}

// servePage serves the page until the context ends.
func servePage(ctx context.Context, most limits, listener net.Listener, pages *site.Site, show console) error {
	server := &http.Server{
		Handler: pages.Handler(), ReadHeaderTimeout: most.head, ReadTimeout: most.body, WriteTimeout: most.body, IdleTimeout: most.idle,
		MaxHeaderBytes: most.header, ErrorLog: log.New(io.Discard, "", 0), // phones that go away are no errors
	}
	defer server.Close()
	if err := show.start(pages.Key()); err != nil {
		return err
	}
	served := make(chan error, 1)
	go func() { served <- server.Serve(netutil.LimitListener(listener, most.connections)) }()
	for {
		select {
		case err := <-served:
			if errors.Is(err, http.ErrServerClosed) {
				return nil
			}
			return err
		case <-pages.Admitted():
			if err := show.next(pages.Key()); err != nil {
				return err
			}
		case <-ctx.Done():
			ending, end := context.WithTimeout(context.WithoutCancel(ctx), most.end)
			defer end()
			_ = server.Shutdown(ending) // unfinished requests are cut off
			return nil
		}
	}
}

// console shows addresses and keys in the terminal.
type console struct {
	out      io.Writer
	ledger   string
	readOnly bool
	lan      bool
	hosts    []string
	port     string
}

// start reports what is served, to whom, and how to stop it, and shows the first key.
func (c console) start(key string) error {
	text := "ledger: " + c.ledger + "\n"
	if c.readOnly {
		text += "view only: the page takes no entries and prints no labels\n"
	}
	if !c.lan {
		text += "only this computer reaches the page; for phones in the same network, use --lan\n"
	}
	if _, err := fmt.Fprint(c.out, text+"Ctrl+C stops the page\n\n"); err != nil {
		return err
	}
	return c.key("this address lets one phone in", key)
}

// next shows the key for another phone.
func (c console) next(key string) error { return c.key("the next phone", key) }

// key shows the address that admits a phone, after some words.
func (c console) key(words, key string) error {
	address := func(host string) string { return "http://" + net.JoinHostPort(host, c.port) + "/open/" + key }
	if screen := command.Terminal(c.out); isTerminal(screen) {
		picture, err := terminal.QR(address(c.hosts[0]))
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintln(screen, picture); err != nil {
			return err
		}
	}
	text := words + ": " + address(c.hosts[0]) + "\n"
	for _, host := range c.hosts[1:] {
		text += fmt.Sprintf("%*s: %s\n", len(words), "or", address(host))
	}
	_, err := fmt.Fprintf(c.out, "%skey to type: %s-%s-%s\n", text, key[:4], key[4:8], key[8:])
	return err
}

// isTerminal reports whether to draw the QR code, in colour; not into a file.
func isTerminal(out io.Writer) bool {
	file, is := out.(*os.File)
	return !is || term.IsTerminal(int(file.Fd()))
}
