package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/lookup"
)

// reader hands on what comes in, text by text. What cannot be read is reported
// and the rest goes on; only what ends the job is returned as an error.
type reader struct {
	files    files
	out      printer
	handle   handler
	deadline time.Duration // for each file; 0: none
	marks    *marks        // nil: nothing is drawn
	failed   bool
}

// handler takes one text that was typed, scanned or read off a picture. When it
// has reported that there is no answer it returns command.ErrReported.
type handler func(ctx context.Context, text string, at place) (said answer, err error)

// answer is what a marked picture says of a text.
type answer struct {
	pair        string // that it stands for; "": not known
	notInLedger bool
}

func pairOf(b records.Batch) answer { return answer{pair: records.Pair(b.Variety, b.Stock)} }

// place is where a text was found.
type place struct {
	file string
	page int   // of a PDF, from 1
	seen *seen // on the picture or page; nil: not on any

	argument bool // of the program, and no file has this name
}

// seen is a symbol on a picture.
type seen struct {
	symbol string // as package scan names it
	scan.Sight
}

func (p place) String() string {
	if p.page == 0 {
		return p.file
	}
	return fmt.Sprintf("%s, page %d", p.file, p.page)
}

// noFileEither advises on an argument that is no code.
func noFileEither(err error) error {
	return command.Advise(err, "there is no file of this name either")
}

// atLeastOne checks that there are arguments; missing says what to name.
func atLeastOne(missing string) cobra.PositionalArgs {
	return command.Arguments(func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return errors.New(missing)
		}
		return nil
	})
}

// read hands the codes, files and streams that arguments name to the reader's
// handler. The error is command.ErrReported when something could not be answered.
func (p program) read(ctx context.Context, args []string, stdin io.Reader, r *reader) (err error) {
	if r.files, err = p.open(ctx); err != nil {
		return err
	}
	defer r.files.Close()
	for _, arg := range joined(args) {
		if err := r.argument(ctx, arg, stdin); err != nil {
			return err
		}
	}
	if r.failed {
		return command.ErrReported
	}
	return nil
}

// text hands a text on and notes that it has no answer.
func (r *reader) text(ctx context.Context, text string, at place) (said answer, err error) {
	said, err = r.handle(ctx, text, at)
	if errors.Is(err, command.ErrReported) {
		r.failed = true
		return said, nil
	}
	return said, err
}

// fault reports what could not be read.
func (r *reader) fault(at place, kind lookup.Kind, err error) error {
	r.failed = true
	if err := r.out.fault(at, "", kind, err); !errors.Is(err, command.ErrReported) {
		return err
	}
	return nil
}

// argument reads a code, the codes on a file or those of the standard input.
func (r *reader) argument(ctx context.Context, arg string, stdin io.Reader) error {
	if arg == "-" {
		return r.stream(ctx, stdin)
	}
	if namesFile(arg) {
		return r.named(ctx, arg)
	}
	_, err := r.text(ctx, arg, place{argument: true})
	return err
}

// named reads the file of a name.
func (r *reader) named(ctx context.Context, name string) error {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		err = &command.HintedError{Err: fmt.Errorf("%s: there is no such file", name),
			Advice: "name a PNG, JPEG or PDF file, or type a code such as 26329-004-0017-63"}
	case info.IsDir():
		err = &command.HintedError{Err: fmt.Errorf("%s: it is a folder", name), Advice: "name the files in it"}
	default:
		file, cannot := os.Open(name)
		if cannot == nil {
			defer file.Close()
			return r.file(ctx, file)
		}
		err = fmt.Errorf("cannot read the file: %w", cannot)
	}
	if skipping := r.marks.skip(); skipping != nil {
		return skipping
	}
	return r.fault(place{file: name}, noFile, err)
}

// namesFile reports whether an argument is the name of a file or meant as one.
func namesFile(arg string) bool {
	if _, err := codes.Parse(arg); err == nil || arg == "-" {
		return false
	}
	_, err := os.Stat(arg)
	return err == nil || lookup.Parse(arg).Form == lookup.FileName
}

// joined puts the groups of a code that was typed with spaces together again.
// Only what makes a valid code is joined.
func joined(args []string) []string {
	var all []string
	for i := 0; i < len(args); i++ {
		together := ""
		for j := i; j < len(args) && len(together) < codes.Digits && strings.Trim(args[j], "0123456789") == ""; j++ {
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

// stream hands on the lines of a scanner or a pipe as they come.
func (r *reader) stream(ctx context.Context, lines io.Reader) error {
	for line, err := range scan.Stream(ctx, lines) {
		if err := r.line(ctx, line, err); err != nil {
			return err
		}
	}
	return nil
}

// line hands on a line of a stream, or reports why it is none.
func (r *reader) line(ctx context.Context, line string, err error) error {
	switch {
	case errors.Is(err, scan.ErrLineTooLong) || errors.Is(err, scan.ErrLineText):
		return r.fault(place{}, lookup.WrongShape, &command.HintedError{Err: err, Advice: "send a code a line; name a picture as FILE"})
	case err != nil:
		return fmt.Errorf("reading codes: %w", err)
	case strings.TrimSpace(line) == "":
		return nil
	}
	_, err = r.text(ctx, line, place{})
	return err
}
