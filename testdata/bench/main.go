// Bench measures the programs as a grower runs them: as processes, from the
// spreadsheet to the files.
//
//	go run ./testdata/bench           graftslip print beside peers, on the same labels
//	go run ./testdata/bench -scale    graftslip print at 10,000 to 300,000 labels
//	go run ./testdata/bench -start    how soon the programs answer, and a stream of codes
//	go run ./testdata/bench -ledger   the Go benchmarks of the ledger
//
// The last three can be joined. Tables come out as Markdown. Data are invented
// and the same every time; files go to a temporary folder and are removed.
//
// A peer is a small program, written as the documentation of its library
// shows, that sets the same texts and QR symbols in the same places with the
// same fonts. It gets a text file with a line for each label, code included: it
// reads no spreadsheet, keeps no ledger and prints no tray cards, graftslip does.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	flags := flag.NewFlagSet("bench", flag.ContinueOnError)
	flags.SetOutput(stderr)
	n := flags.Int("n", 30_000, "stem labels; a slow peer prints a part of them")
	names := flags.String("peers", "all", "all, none, or a list of "+strings.Join(peerNames(), ","))
	repeat := flags.Int("repeat", 3, "how often to measure; the fastest counts")
	scaling := flags.Bool("scale", false, "print 10,000 to 300,000 labels instead")
	starting := flags.Bool("start", false, "measure start and a stream of codes instead")
	ledger := flags.Bool("ledger", false, "run the benchmarks of the ledger instead")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return nil
	} else if err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("%q is no option", flags.Arg(0))
	}
	if *n < 1 || *repeat < 1 {
		return fmt.Errorf("-n and -repeat are at least 1")
	}
	chosen, err := choosePeers(*names)
	if err != nil {
		return err
	}
	w, err := newWorkshop(ctx, stderr, *repeat)
	if err != nil {
		return err
	}
	defer w.close()
	if !*scaling && !*starting && !*ledger {
		return w.compare(ctx, stdout, *n, chosen)
	}
	if *scaling {
		if err := w.scale(ctx, stdout, []int{10_000, 30_000, 100_000, 300_000}); err != nil {
			return err
		}
	}
	if *starting {
		if err := w.start(ctx, stdout); err != nil {
			return err
		}
	}
	if *ledger {
		return goBenchmarks(ctx, stdout)
	}
	return nil
}

// choosePeers reads the flag -peers.
func choosePeers(names string) ([]peer, error) {
	switch names {
	case "all":
		return peers(), nil
	case "none":
		return nil, nil
	}
	var chosen []peer
	for name := range strings.SplitSeq(names, ",") {
		i := slices.Index(peerNames(), name)
		if i < 0 {
			return nil, fmt.Errorf("-peers: there is no peer %q; there are %s", name, strings.Join(peerNames(), ", "))
		}
		chosen = append(chosen, peers()[i])
	}
	return chosen, nil
}
