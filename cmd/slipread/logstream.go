package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/entry"
	"graftslip/records/lookup"
)

// lines are the lines of a scanner as they come: codes, each with its entry after it.
type lines struct {
	*recorder
	number int // of the line
	failed bool

	unit   lookup.Found // what the entry is about; the zero Found: none is open
	text   string       // of the code
	said   entry.Lines
	waits  lineRef // of the word that waits for its number
	spoken bool    // anything came after the code, right or wrong
	unread bool    // the code before was not read: its entry is left out
	warned bool    // of that
}

// lineRef names a line of the stream.
type lineRef struct {
	number int
	text   string
}

func (r lineRef) String() string {
	if r.text == "" {
		return fmt.Sprintf("line %d", r.number)
	}
	return fmt.Sprintf("line %d, %q", r.number, r.text)
}

// stream enters what comes from a scanner or a keyboard, each entry as soon as
// it is complete. What is wrong is reported, and the stream goes on; the error
// is then command.ErrReported.
func (l *recorder) stream(ctx context.Context, in io.Reader) error {
	s := &lines{recorder: l}
	for line, err := range scan.Stream(ctx, in) {
		s.number++
		s.out.today = l.now() // a scanner may stand by for days
		switch {
		case errors.Is(err, scan.ErrLineTooLong):
			err = s.reported(s.out.fault(origin{}, "", notSaid, &command.HintedError{Err: err, Advice: "put each code, and what you enter for it, on a line of its own"}))
		case errors.Is(err, scan.ErrLineText):
			err = s.reported(s.out.fault(origin{}, "", notSaid, &command.HintedError{Err: err, Advice: "set the scanner, the terminal or the file to UTF-8, and enter that line again"}))
		case err != nil && ctx.Err() != nil && s.spoken:
			return command.Advise(err, fmt.Sprintf("the entry for %v was not kept", s.unit.Code))
		case err != nil:
			return fmt.Errorf("reading entries: %w", err)
		default:
			err = s.line(ctx, line)
		}
		if err != nil {
			return err
		}
	}
	if err := s.close(ctx); err != nil {
		return err
	}
	if s.failed {
		return command.ErrReported
	}
	return nil
}

// line takes one line. Only what ends the job is an error.
func (s *lines) line(ctx context.Context, line string) error {
	word := strings.ToLower(strings.TrimSpace(line))
	switch {
	case word == "":
		return nil
	case word == "done":
		return s.close(ctx)
	case word == "forget":
		s.unit, s.spoken, s.unread = lookup.Found{}, false, false
		return nil
	case entry.Says(line):
		return s.says(line)
	}
	read := lookup.Parse(line)
	switch {
	case read.Form == lookup.Code:
		return s.begin(ctx, read.Code, line)
	case !lookup.LikeCode(line):
		return s.says(line)
	}
	if err := s.close(ctx); err != nil {
		return err
	}
	s.unread, s.warned = true, false
	if batch := read.Code; read.Form == lookup.BatchName {
		return s.wrong(line, &command.HintedError{
			Err:    errors.New("this may be a code that lost its end"),
			Advice: fmt.Sprintf("for the whole batch %s enter %v; for a tray or a stem, its whole code", batch.BatchName(), batch)})
	}
	_, err := s.find(ctx, line)
	return s.reported(err)
}

// begin begins an entry about a code, and ends the one before. Text after the code, unless
// it is a record, belongs to the entry.
func (s *lines) begin(ctx context.Context, code codes.Code, line string) error {
	if err := s.close(ctx); err != nil {
		return err
	}
	text, behind := line, ""
	if first, rest, more := strings.Cut(strings.TrimSpace(line), " "); more && first == code.String() {
		if _, err := records.ParseLine(line); err != nil {
			text, behind = first, rest
		}
	}
	unit, err := s.find(ctx, text)
	if err != nil {
		s.unread, s.warned = true, false
		return s.reported(err)
	}
	s.unit, s.text, s.unread, s.spoken = unit, text, false, false
	s.said = entry.Lines{Stem: unit.Code.Kind() == codes.Stem}
	if behind != "" {
		return s.says(behind)
	}
	return nil
}

// says adds a line to the entry about the code before it.
func (s *lines) says(line string) error {
	switch {
	case s.unread && s.warned:
		return nil
	case s.unread:
		s.warned = true
		return s.wrong(line, &command.HintedError{
			Err:    errors.New("left out, because the code before it was not read"),
			Advice: "scan the code again, then enter what you saw"})
	case s.unit.Code.IsZero():
		return s.wrong(line, &command.HintedError{Err: errors.New("it has no code before it"), Advice: "scan the code of a tray, a stem or a batch first"})
	}
	before, waited := s.said, s.waits
	next, err := before.With(line)
	s.said, s.spoken = next, true
	if next.Waiting() {
		s.waits = s.ref(line)
	}
	if changed := next.Changed(before); !s.out.asJSON {
		for _, each := range changed {
			command.Hint(s.out.stderr, fmt.Sprintf("%v: %s", s.ref(line), each))
		}
	}
	return s.faults(s.ref(line), waited, err)
}

// close keeps the open entry. If nothing came after its code, it shows the record.
func (s *lines) close(ctx context.Context) error {
	unit := s.unit
	s.unit, s.unread = lookup.Found{}, false
	if unit.Code.IsZero() {
		return nil
	}
	o, err := s.said.Entry()
	if err := s.faults(s.ref(""), s.waits, err); err != nil {
		return err
	}
	if !s.spoken {
		return s.out.record(unit.Record, origin{}, unit.Reprints, s.out.statusOf(unit.History, unit.Code))
	}
	s.spoken = false
	if o.Empty() {
		return nil // its faults were reported
	}
	o.Unit = unit.Code
	return s.reported(s.keep(ctx, s.text, o, "this entry was not kept; scan the code again, then enter it"))
}

// ref is the line that was read last, with its text.
func (s *lines) ref(line string) lineRef { return lineRef{s.number, strings.TrimSpace(line)} }

// wrong reports what is wrong with a line.
func (s *lines) wrong(line string, err error) error { return s.faults(s.ref(line), lineRef{}, err) }

// faults reports what is wrong with a line, if anything, and with an earlier line whose word
// still waits for its number.
func (s *lines) faults(at, waited lineRef, err error) error {
	if err == nil {
		return nil
	}
	for _, each := range command.Flatten(err) {
		where := at
		var wrong *entry.Error
		if errors.As(each, &wrong) && wrong.Code == entry.Unanswered {
			where = waited
		}
		if err := s.reported(s.out.fault(origin{}, where.text, notSaid, fmt.Errorf("%v: %w", where, each))); err != nil {
			return err
		}
	}
	return nil
}

// reported notes that something failed and was reported.
func (s *lines) reported(err error) error {
	if errors.Is(err, command.ErrReported) {
		s.failed = true
		return nil
	}
	return err
}
