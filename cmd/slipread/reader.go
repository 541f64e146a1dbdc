package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
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
type handler func(ctx context.Context, text string, at origin) (caption, error)

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
func (r *reader) text(ctx context.Context, text string, at origin) (caption, error) {
	c, err := r.handle(ctx, text, at)
	if errors.Is(err, command.ErrReported) {
		r.failed = true
		err = nil
	}
	return c, err
}

// fault reports what could not be read.
func (r *reader) fault(at origin, kind lookup.Kind, err error) error {
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
	_, err := r.text(ctx, arg, origin{argument: true})
	return err
}

// named reads a file.
func (r *reader) named(ctx context.Context, name string) error {
	info, err := os.Stat(name)
	switch {
	case err != nil:
		err = &command.HintedError{Err: fmt.Errorf("%s: there is no such file", name),
			Advice: "give a PNG, JPEG or PDF file, or a code such as 26329-004-0017-63"}
	case info.IsDir():
		err = &command.HintedError{Err: fmt.Errorf("%s is a folder", name), Advice: "give the files in it"}
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
	return r.fault(origin{file: name}, noFile, err)
}

// stream hands on the lines of a scanner or a pipe as they come.
func (r *reader) stream(ctx context.Context, lines io.Reader) error {
	for line, err := range scan.Stream(ctx, lines) {
		switch {
		case errors.Is(err, scan.ErrLineTooLong) || errors.Is(err, scan.ErrLineText):
			err = r.fault(origin{}, lookup.WrongShape, &command.HintedError{Err: err, Advice: "send one code per line; give a picture as FILE"})
		case err != nil:
			return fmt.Errorf("reading codes: %w", err)
		case strings.TrimSpace(line) != "":
			_, err = r.text(ctx, line, origin{})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// file hands on every code on a picture or PDF. What was read is answered in ctx, so that a
// deadline does not take it away.
func (r *reader) file(ctx context.Context, file *os.File) error {
	path := file.Name()
	limited, end := context.WithTimeout(ctx, cmp.Or(r.deadline, math.MaxInt64))
	defer end()
	read, missed, failed := 0, 0, false
	for view, err := range r.files.File(limited, file, lookup.IsCode) {
		if err != nil {
			view.Missed = nil // they might have been read
		}
		at := origin{file: path, page: view.Page}
		if err := r.view(ctx, view, at); err != nil {
			return err
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		read, missed = read+len(view.Found), missed+len(view.Missed)
		if err == nil {
			continue
		}
		failed = true
		if errors.Is(err, context.DeadlineExceeded) {
			err = r.stopped(at, read, view.Picture != nil)
		} else {
			err = r.unreadable(at, err)
		}
		if err != nil {
			return err
		}
	}
	if read == 0 && missed == 0 && !failed {
		return r.fault(origin{file: path}, noCode, &command.HintedError{
			Err:    fmt.Errorf("%s: no code was found", path),
			Advice: "take the picture from closer, with the whole code in it, straight on and in even light; or type the code"})
	}
	return nil
}

// view hands on the codes of a picture or page, reports what was seen and not
// read, and marks both.
func (r *reader) view(ctx context.Context, view scan.View, at origin) error {
	captions := make([]caption, len(view.Found))
	for i, found := range view.Found {
		at.symbol, at.sight = found.Symbol, found.Sight
		var err error
		if captions[i], err = r.text(ctx, found.Text, at); err != nil {
			return err
		}
	}
	if len(view.Missed) > 0 {
		r.failed = true
		if err := r.out.missed(at, view); !errors.Is(err, command.ErrReported) {
			return err
		}
	}
	return r.marks.add(view, captions)
}

// stopped reports that the time for a file was up, and how many codes were read by then.
// opened: the picture or page can be drawn on.
func (r *reader) stopped(at origin, read int, opened bool) error {
	said := map[int]string{0: "no code was", 1: "1 code was"}[read]
	if said == "" {
		said = records.Counted(read, "code") + " were"
	}
	err := fmt.Errorf("%s: stopped after %s; %s read by then, and there may be more", at.file, command.FormatDuration(r.deadline), said)
	if r.marks != nil && !opened {
		err = &command.HintedError{Err: err, Advice: "it has no marked picture: the time was up before it was opened"}
	}
	return r.fault(at, outOfTime, &command.HintedError{Err: err, Advice: "give it more time with --deadline, or send a smaller picture"})
}

// unreadable reports why a file, or a page of it, was not read.
func (r *reader) unreadable(at origin, err error) error {
	err = fmt.Errorf("%s: %w", at, err)
	if errors.Is(err, scan.ErrUnsupported) && (filepath.Ext(at.file) == ".txt" || filepath.Ext(at.file) == ".csv") {
		err = &command.HintedError{Err: err, Advice: "for a file with one code per line, run slipread - < " + at.file}
	}
	return r.fault(at, unreadable, err)
}

// missed reports what was seen on a picture and could not be read; to a person
// all at once, so that advice that is the same for all comes once. It returns
// command.ErrReported.
func (p printer) missed(at origin, view scan.View) error {
	var all []error
	for _, missed := range view.Missed {
		at.symbol, at.sight = missed.Symbol, missed.Sight
		err := fmt.Errorf("%s: %w", at, &scan.MissedError{Missed: missed, Within: view.Picture.Bounds()})
		if !p.asJSON {
			all = append(all, err)
			continue
		}
		fault := newFault(at, "", notRead, err)
		fault.Reason = missed.Reason.String()
		if err := p.faultJSON(fault); !errors.Is(err, command.ErrReported) {
			return err
		}
	}
	if !p.asJSON {
		command.Report(p.stderr, errors.Join(all...))
	}
	return command.ErrReported
}
