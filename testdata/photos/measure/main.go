// Measure holds slipread against other readers, on made photographs whose codes
// are known.
//
//	go run ./testdata/photos/measure            each kind of photograph, each symbol, all readers
//	go run ./testdata/photos/measure -trays     trays photographed whole as well
//	go run ./testdata/photos/measure -timing    times and memory as well
//	go run ./testdata/photos/measure -empty 500 photographs without a code as well
//
// Tables come out as Markdown, wrong texts one by one on the standard error. It
// ends with 1 when slipread reads less than the best of the others in any row,
// or reads anything that does not stand there.
//
// All readers get the same JPEG files, and are asked for one symbol only, with
// the settings at which they read most; slipread always looks for all three.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"graftslip/testdata/machine"
	"graftslip/testdata/outside"
	"graftslip/testdata/photos"
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
	if len(args) > 0 && args[0] == tellPeak {
		return runTellPeak(ctx, args[1:], stdout)
	}
	o, err := parse(args, photos.Kinds(), stderr)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	} else if err != nil {
		return err
	}
	slips, err := photos.Print(ctx)
	if err != nil {
		return err
	}
	return measure(ctx, o, slips, stdout, stderr)
}

// measure takes all photographs with the camera and writes the tables.
func measure(ctx context.Context, o options, camera camera, stdout, stderr io.Writer) (err error) {
	folder, err := os.MkdirTemp("", "measure-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	newFolder := func(name string) (string, error) {
		path := filepath.Join(folder, name)
		return path, os.Mkdir(path, 0o700)
	}
	readers, versions, notes, err := readyReaders(ctx, o.readers, outside.Required(), newFolder)
	if err != nil {
		return err
	}
	if len(readers) == 0 {
		return fmt.Errorf("there is no reader: %s", strings.Join(notes, " "))
	}
	s := session{camera: camera, readers: readers, timing: o.timing, tally: newTally()}
	if s.folder, err = newFolder("photographs"); err != nil {
		return err
	}
	hasOwn := slices.Contains(o.readers, slipread)
	if o.timing && hasOwn {
		memory, err := newFolder("memory")
		if err != nil {
			return err
		}
		if s.peak, err = newPeak(ctx, memory); err != nil {
			return err
		}
	}
	if o.keep != "" {
		s.folder, s.keep = o.keep, &keeper{folder: o.keep}
		if err := os.MkdirAll(o.keep, 0o755); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, s.keep.write()) }()
	}
	shots := o.shots()
	empty := o.emptyShots()
	step, end := progress(stderr, len(shots)+len(empty))
	defer end()
	s.step = step
	if err := s.run(ctx, shots); err != nil {
		return err
	}
	if hasOwn {
		s.readers = readers[:1] // slipread, the first of all
		if err := s.run(ctx, empty); err != nil {
			return err
		}
	}
	end()
	text, failure := report(s.tally, o, readers)
	text += machine.Line(ctx, versions) + "\n"
	for _, note := range notes {
		text = note + "\n\n" + text
	}
	fmt.Fprint(stderr, wrongList(s.tally))
	if _, err := io.WriteString(stdout, text); err != nil {
		return err
	}
	if o.update {
		found, err := update(manual, text)
		if err != nil {
			return err
		}
		if !found {
			fmt.Fprintf(stderr, "%s has no lines %q and %q; it stays as it is.\n", manual, strings.TrimSpace(opening), strings.TrimSpace(closing))
		}
	}
	return failure
}

// progress shows on a terminal how far the photographs are.
func progress(w io.Writer, n int) (step, end func()) {
	file, isFile := w.(*os.File)
	if !isFile || !term.IsTerminal(int(file.Fd())) {
		return func() {}, func() {}
	}
	bar := progressbar.NewOptions(n, progressbar.OptionSetWriter(w), progressbar.OptionSetDescription("photographs"),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}
