package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"os"
	"path/filepath"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/lookup"
)

// files reads the symbols of pictures and PDFs: a scan.Renderer.
type files interface {
	File(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[scan.View, error]
	Close() error
}

// openScan starts no PDF renderer before the first PDF.
func openScan(ctx context.Context) (files, error) { return scan.NewRenderer(ctx) }

// deadlineError is why the reading of a file was given up.
type deadlineError struct{ after time.Duration }

func (e *deadlineError) Error() string { return "stopped after " + command.FormatDuration(e.after) }

// Unwrap makes it one of the errors of contexts.
func (e *deadlineError) Unwrap() error { return context.DeadlineExceeded }

// limit gives the context in which a file is read. What was read is answered in
// ctx, so that a deadline does not take it away.
func (r *reader) limit(ctx context.Context) (context.Context, context.CancelFunc) {
	if r.deadline == 0 {
		return context.WithCancel(ctx)
	}
	return context.WithTimeoutCause(ctx, r.deadline, &deadlineError{r.deadline})
}

// file hands on every code on a picture or PDF.
func (r *reader) file(ctx context.Context, file *os.File) error {
	path := file.Name()
	limited, end := r.limit(ctx)
	defer end()
	read, missed, failed := 0, 0, false
	for view, err := range r.files.File(limited, file, lookup.IsCode) {
		if err != nil {
			view.Missed = nil // nobody knows what would have been read of them
		}
		at := place{file: path, page: view.Page}
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
		return r.fault(place{file: path}, noCode, &command.HintedError{
			Err:    fmt.Errorf("%s: nothing that looks like a code was found on it", path),
			Advice: "take the picture closer, with the whole code on it, straight on and in even light, or type the code"})
	}
	return nil
}

// view hands on the codes of a picture or page, reports what was seen and not
// read, and marks both.
func (r *reader) view(ctx context.Context, view scan.View, at place) error {
	answers := make([]answer, len(view.Found))
	for i, found := range view.Found {
		at.seen = &seen{found.Symbol, found.Sight}
		var err error
		if answers[i], err = r.text(ctx, found.Text, at); err != nil {
			return err
		}
	}
	if len(view.Missed) > 0 {
		r.failed = true
		if err := r.out.missed(at, view); !errors.Is(err, command.ErrReported) {
			return err
		}
	}
	return r.marks.add(view, answers)
}

// stopped reports that the time for a file was up when so many codes were read;
// opened says whether the picture, or its page, could be drawn on.
func (r *reader) stopped(at place, read int, opened bool) error {
	said := map[int]string{0: "no code was", 1: "1 code was"}[read]
	if said == "" {
		said = records.Counted(read, "code") + " were"
	}
	err := fmt.Errorf("%s: %w; %s read until then; there may be more", at.file, &deadlineError{r.deadline}, said)
	if r.marks != nil && !opened {
		err = &command.HintedError{Err: err, Advice: "no marked picture is written of it: the time was up before it was opened"}
	}
	return r.fault(at, outOfTime, &command.HintedError{Err: err, Advice: "give it more time with --deadline, or send a smaller picture"})
}

// unreadable reports why a file, or a page of it, was not read.
func (r *reader) unreadable(at place, err error) error {
	err = fmt.Errorf("%s: %w", at, err)
	if errors.Is(err, scan.ErrUnsupported) && (filepath.Ext(at.file) == ".txt" || filepath.Ext(at.file) == ".csv") {
		err = &command.HintedError{Err: err, Advice: "a file with a code a line is read so: slipread - < " + at.file}
	}
	return r.fault(at, unreadable, err)
}
