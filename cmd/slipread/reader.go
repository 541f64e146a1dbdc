package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
)

// reader hands on what comes in, text by text. What cannot be read is reported
// and the rest goes on; only what ends the job is returned as an error.
type reader struct {
	renderer *scan.Renderer
	out      printer
	handle   handler
	failed   bool
}

// handler takes one text that was typed, scanned or read off a picture. When it
// has reported that there is no answer it returns command.ErrReported.
type handler func(ctx context.Context, text string, at place) error

// place is where a text was found.
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

// read hands the codes, files and streams that arguments name to a handler. The
// error is command.ErrReported when something could not be answered.
func read(ctx context.Context, args []string, stdin io.Reader, out printer, handle handler) error {
	renderer, err := scan.NewRenderer(ctx) // starts with the first PDF
	if err != nil {
		return err
	}
	defer renderer.Close()
	r := &reader{renderer: renderer, out: out, handle: handle}
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
func (r *reader) text(ctx context.Context, text string, at place) error {
	err := r.handle(ctx, text, at)
	if errors.Is(err, command.ErrReported) {
		r.failed = true
		return nil
	}
	return err
}

// fault reports what could not be read.
func (r *reader) fault(at place, kind faultKind, err error) error {
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
	if _, err := codes.Parse(arg); err == nil {
		return r.text(ctx, arg, place{})
	}
	info, err := os.Stat(arg)
	switch {
	case err == nil && info.IsDir():
		return r.fault(place{file: arg}, noFile, &command.HintedError{
			Err: fmt.Errorf("%s: it is a folder", arg), Advice: "name the files in it"})
	case err == nil:
		return r.file(ctx, arg)
	case looksLikeFile(arg):
		return r.fault(place{file: arg}, noFile, &command.HintedError{
			Err: fmt.Errorf("%s: there is no such file", arg), Advice: "name a PNG, JPEG or PDF file, or type a code such as 26329-004-0017-63"})
	}
	return r.text(ctx, arg, place{})
}

// looksLikeFile reports whether an argument is meant as a file. What carries a
// code of its own, a record or a link, is not, nor what may be a damaged code.
func looksLikeFile(arg string) bool {
	if _, err := codes.FromSymbol(arg); err == nil {
		return false
	}
	if _, err := codes.Tried(arg); err == nil {
		return false
	}
	return filepath.Ext(arg) != "" || strings.ContainsRune(arg, filepath.Separator)
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
		return r.fault(place{}, wrongShape, &command.HintedError{Err: err, Advice: "send a code a line; name a picture as FILE"})
	case err != nil:
		return fmt.Errorf("reading codes: %w", err)
	case strings.TrimSpace(line) == "":
		return nil
	}
	return r.text(ctx, line, place{})
}

// file hands on every code on a picture or PDF.
func (r *reader) file(ctx context.Context, path string) error {
	file, err := os.Open(path)
	if err != nil {
		return r.fault(place{file: path}, noFile, fmt.Errorf("cannot read the file: %w", err))
	}
	defer file.Close()
	valid := func(text string) bool { _, err := codes.FromSymbol(text); return err == nil }
	count, failed := 0, false
	for found, err := range r.renderer.File(ctx, file, valid) {
		at := place{file: path, page: found.Page}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil:
			failed = true
			err = fmt.Errorf("%s: %w", at, err)
			if errors.Is(err, scan.ErrUnsupported) && (filepath.Ext(path) == ".txt" || filepath.Ext(path) == ".csv") {
				err = &command.HintedError{Err: err, Advice: "a file with a code a line is read so: slipread - < " + path}
			}
			err = r.fault(at, unreadable, err)
		default:
			count++
			err = r.text(ctx, found.Text, at)
		}
		if err != nil {
			return err
		}
	}
	if count == 0 && !failed {
		return r.fault(place{file: path}, noCode, &command.HintedError{
			Err:    fmt.Errorf("%s: no code was found on it", path),
			Advice: "take the picture closer, straight on and in even light, or type the code"})
	}
	return nil
}
