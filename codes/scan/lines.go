package scan

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"iter"
	"unicode/utf8"
)

var (
	// ErrLineTooLong: a line of a stream is longer than MaxLine bytes.
	ErrLineTooLong = errors.New("line too long")
	// ErrLineText: a line of a stream is not UTF-8.
	ErrLineText = errors.New("line is not UTF-8 text")
)

// MaxLine is the longest line, in bytes without its end, that Lines yields.
const MaxLine = 4096

// emptyReads is how often a reader may return nothing in a row before Lines
// gives up on it, as bufio does.
const emptyReads = 100

// Lines yields the lines of a scanner's stream, without their ends, each as soon
// as its end has arrived. A line ends with LF, CR or CRLF, since hand scanners
// are set to any of the three. A CR ends the line at once, and a LF right behind
// it is skipped. The last line needs no end. Lines yields empty lines too, and
// drops a byte order mark before the first line.
//
// For a line longer than MaxLine or not in UTF-8 it yields an empty text with an
// error that wraps ErrLineTooLong or ErrLineText, and goes on with the next line.
// Any other error is the reader's, and the last value.
func Lines(r io.Reader) iter.Seq2[string, error] {
	return func(yield func(string, error) bool) {
		var s splitter
		buffer := make([]byte, MaxLine)
		for empty := 0; empty < emptyReads; {
			n, err := r.Read(buffer)
			empty++
			if n > 0 {
				empty = 0
			}
			if !s.feed(buffer[:n], yield) {
				return
			}
			if err == nil {
				continue
			}
			if s.open() && !s.end(yield) {
				return
			}
			if !errors.Is(err, io.EOF) {
				yield("", err)
			}
			return
		}
		yield("", io.ErrNoProgress)
	}
}

// splitter cuts bytes into lines.
type splitter struct {
	line   []byte // of the line that has begun, at most MaxLine bytes
	long   bool   // it had more
	number int    // of the lines that have ended
	afterR bool   // the last byte was a CR
}

// open reports whether a line has begun.
func (s *splitter) open() bool { return len(s.line) > 0 || s.long }

// feed takes the next bytes of the stream; false: no more lines are wanted.
func (s *splitter) feed(b []byte, yield func(string, error) bool) bool {
	for len(b) > 0 {
		if s.afterR {
			s.afterR = false
			if b[0] == '\n' {
				b = b[1:]
				continue
			}
		}
		end := bytes.IndexAny(b, "\r\n")
		if end < 0 {
			s.add(b)
			return true
		}
		s.add(b[:end])
		s.afterR = b[end] == '\r'
		b = b[end+1:]
		if !s.end(yield) {
			return false
		}
	}
	return true
}

func (s *splitter) add(b []byte) {
	if room := MaxLine - len(s.line); len(b) > room {
		s.long = true
		b = b[:room]
	}
	s.line = append(s.line, b...)
}

// end hands the line out and begins the next.
func (s *splitter) end(yield func(string, error) bool) bool {
	line, long := s.line, s.long
	s.line, s.long = s.line[:0], false
	s.number++
	if s.number == 1 {
		line = bytes.TrimPrefix(line, []byte("\ufeff"))
	}
	switch {
	case long:
		return yield("", fmt.Errorf("line %d: %w: more than %d bytes", s.number, ErrLineTooLong, MaxLine))
	case !utf8.Valid(line):
		return yield("", fmt.Errorf("line %d: %w", s.number, ErrLineText))
	}
	return yield(string(line), nil)
}

// Stream is Lines for a reader that may wait, such as a scanner: it stops when
// ctx ends, even while it waits for a line, and yields the context's error last.
// What is not read yet stays unread.
func Stream(ctx context.Context, r io.Reader) iter.Seq2[string, error] {
	type read struct {
		line string
		err  error
	}
	return func(yield func(string, error) bool) {
		ctx, cancel := context.WithCancel(ctx)
		defer cancel()
		reads := make(chan read)
		go func() {
			defer close(reads)
			for line, err := range Lines(r) {
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
				yield("", ctx.Err())
				return
			case got, more := <-reads:
				if !more || !yield(got.line, got.err) {
					return
				}
			}
		}
	}
}
