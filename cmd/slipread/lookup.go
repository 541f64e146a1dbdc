package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records/ledger"
)

func (p program) lookupCommand() *cobra.Command {
	ledgerFlag, asJSON := "", false
	c := &cobra.Command{
		Use:   "slipread CODE|FILE|-...",
		Short: "Show what a code stands for",
		Long: `Show what a code stands for: the pair, the date, the stem or tray, the days since grafting.

CODE is typed or pasted, spaces and hyphens as you like. FILE is a PNG or JPEG picture or a PDF: every code on it is read.
With - codes come from a scanner or a pipe, one a line, and each is answered at once.`,
		Example: "  slipread 26329-004-0017-63\n  slipread tray.jpg session-stems.pdf\n  slipread - --json",
		Args:    command.Arguments(cobra.MinimumNArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			path, err := command.LedgerPath(ledgerFlag)
			if err != nil {
				return err
			}
			book, err := ledger.OpenExisting(c.Context(), path)
			if err != nil {
				return err
			}
			defer book.Close()
			renderer, err := scan.NewRenderer(c.Context()) // starts with the first PDF
			if err != nil {
				return err
			}
			defer renderer.Close()
			l := &lookup{book: book, renderer: renderer, out: printer{stdout: c.OutOrStdout(), stderr: c.ErrOrStderr(), asJSON: asJSON, today: p.now()}}
			for _, arg := range joined(args) {
				if err := l.argument(c.Context(), arg, c.InOrStdin()); err != nil {
					return err
				}
			}
			return l.result()
		},
	}
	c.Flags().SortFlags = false
	c.Flags().StringVar(&ledgerFlag, "ledger", "", "ledger `FILE` (else "+command.LedgerVariable+", else in the user's data folder)")
	c.Flags().BoolVar(&asJSON, "json", false, "an object a line")
	return c
}

// lookup answers codes from one ledger. A code that cannot be answered is
// reported and the rest goes on; only what ends the job is returned as an
// error.
type lookup struct {
	book     *ledger.Ledger
	renderer *scan.Renderer
	out      printer
	failed   bool
}

func (l *lookup) result() error {
	if l.failed {
		return command.ErrReported
	}
	return nil
}

// argument answers a code, the codes on a file or those of the standard input.
func (l *lookup) argument(ctx context.Context, arg string, stdin io.Reader) error {
	if arg == "-" {
		return l.stream(ctx, stdin)
	}
	if _, err := codes.Parse(arg); err == nil {
		return l.text(ctx, arg, place{})
	}
	info, err := os.Stat(arg)
	switch {
	case err == nil && info.IsDir():
		return l.fault(place{file: arg}, "", noFile, &command.HintedError{
			Err: fmt.Errorf("%s: it is a folder", arg), Advice: "name the files in it"})
	case err == nil:
		return l.file(ctx, arg)
	case filepath.Ext(arg) != "" || strings.ContainsRune(arg, filepath.Separator):
		return l.fault(place{file: arg}, "", noFile, &command.HintedError{
			Err: fmt.Errorf("%s: there is no such file", arg), Advice: "name a PNG, JPEG or PDF file, or type a code such as 26329-004-0017-63"})
	}
	return l.text(ctx, arg, place{})
}

// joined puts the groups of a code that was typed with spaces together again.
// Only what makes a valid code is joined.
func joined(args []string) []string {
	const digits = 14
	var all []string
	for i := 0; i < len(args); i++ {
		together := ""
		for j := i; j < len(args) && len(together) < digits && strings.Trim(args[j], "0123456789") == ""; j++ {
			together += args[j]
			if _, err := codes.Parse(together); err == nil {
				i = j
				break
			}
		}
		if _, err := codes.Parse(together); err != nil {
			together = args[i]
		}
		all = append(all, together)
	}
	return all
}

// stream answers the lines of a scanner or a pipe as they come. It ends with
// ctx even while it waits for a line; what waits to be read is then left.
func (l *lookup) stream(ctx context.Context, lines io.Reader) error {
	type read struct {
		line string
		err  error
	}
	reads := make(chan read)
	go func() {
		defer close(reads)
		for line, err := range scan.Lines(lines) {
			select {
			case reads <- read{line, err}:
			case <-ctx.Done():
				return
			}
		}
	}()
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case r, more := <-reads:
			if !more {
				return nil
			}
			if err := l.line(ctx, r.line, r.err); err != nil {
				return err
			}
		}
	}
}

// line answers a line of a stream, or reports why it is none.
func (l *lookup) line(ctx context.Context, line string, err error) error {
	switch {
	case errors.Is(err, scan.ErrLineTooLong) || errors.Is(err, scan.ErrLineText):
		return l.fault(place{}, "", wrongShape, &command.HintedError{Err: err, Advice: "send a code a line; name a picture as FILE"})
	case err != nil:
		return fmt.Errorf("reading codes: %w", err)
	case strings.TrimSpace(line) == "":
		return nil
	}
	return l.text(ctx, line, place{})
}

// text answers one text that should be a code.
func (l *lookup) text(ctx context.Context, text string, at place) error {
	code, err := codes.Parse(text)
	if err != nil {
		return l.fault(at, text, kindOf(err), fmt.Errorf("%q: %w", strings.TrimSpace(text), err))
	}
	record, err := l.book.Find(ctx, code)
	var notIssued *ledger.NotIssuedError
	switch {
	case errors.As(err, &notIssued):
		return l.fault(at, text, notInLedger, err)
	case err != nil:
		return err
	}
	return l.out.record(record, at)
}

// file answers every code on a picture or PDF.
func (l *lookup) file(ctx context.Context, path string) error {
	file, err := os.Open(path)
	if err != nil {
		return l.fault(place{file: path}, "", noFile, fmt.Errorf("cannot read the file: %w", err))
	}
	defer file.Close()
	valid := func(text string) bool { _, err := codes.Parse(text); return err == nil }
	count, failed := 0, false
	for found, err := range l.renderer.File(ctx, file, valid) {
		at := place{file: path, page: found.Page}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			failed = true
			err = l.fault(at, "", unreadable, fmt.Errorf("%s: %w", at, err))
		default:
			count++
			err = l.text(ctx, found.Text, at)
		}
		if err != nil {
			return err
		}
	}
	if count == 0 && !failed {
		return l.fault(place{file: path}, "", noCode, &command.HintedError{
			Err:    fmt.Errorf("%s: no code was found on it", path),
			Advice: "take the picture closer, straight on and in even light, or type the code"})
	}
	return nil
}

func (l *lookup) fault(at place, text string, kind faultKind, err error) error {
	l.failed = true
	return l.out.fault(at, text, kind, err)
}

// faultKind tells apart, for programs, why there is no record.
type faultKind string

const (
	wrongShape  faultKind = "shape"
	wrongLength faultKind = "length"
	wrongCheck  faultKind = "check-digits"
	noSuchDate  faultKind = "date"
	outOfRange  faultKind = "unit"
	notInLedger faultKind = "not-in-ledger"
	noCode      faultKind = "no-code"
	noFile      faultKind = "no-file"
	unreadable  faultKind = "unreadable"
)

func kindOf(err error) faultKind {
	switch {
	case errors.Is(err, codes.ErrLength):
		return wrongLength
	case errors.Is(err, codes.ErrCheckDigits):
		return wrongCheck
	case errors.Is(err, codes.ErrDate):
		return noSuchDate
	case errors.Is(err, codes.ErrUnit):
		return outOfRange
	}
	return wrongShape
}

// place is where a code was found.
type place struct {
	file string
	page int // of a PDF, from 1
}

func (p place) String() string {
	if p.page == 0 {
		return p.file
	}
	return fmt.Sprintf("%s, page %d", p.file, p.page)
}
