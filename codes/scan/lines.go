package scan

import (
	"bufio"
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
		in := bufio.NewScanner(r)
		in.Buffer(make([]byte, 0, 2*MaxLine), 2*MaxLine)
		in.Split(s.split)
		for number := 1; in.Scan(); number++ {
			line := in.Bytes()
			if number == 1 {
				line = bytes.TrimPrefix(line, []byte("\ufeff"))
			}
			var err error
			switch {
			case s.long:
				line, err = nil, fmt.Errorf("line %d: %w: more than %d bytes", number, ErrLineTooLong, MaxLine)
			case !utf8.Valid(line):
				line, err = nil, fmt.Errorf("line %d: %w", number, ErrLineText)
			}
			if s.long = false; !yield(string(line), err) {
				return
			}
		}
		if err := in.Err(); err != nil {
			yield("", err)
		}
	}
}

// splitter cuts bytes into lines, as a bufio.SplitFunc.
type splitter struct {
	long   bool // the line that has begun has more than MaxLine bytes, and they are dropped
	afterR bool // the last byte was a CR
}

func (s *splitter) split(data []byte, atEOF bool) (advance int, line []byte, err error) {
	skip := 0
	if s.afterR && len(data) > 0 {
		if s.afterR = false; data[0] == '\n' {
			skip, data = 1, data[1:]
		}
	}
	end := bytes.IndexAny(data, "\r\n")
	s.long = s.long || end > MaxLine || end < 0 && len(data) > MaxLine
	switch {
	case end >= 0:
		s.afterR = data[end] == '\r'
		return skip + end + 1, data[:end], nil
	case atEOF && (len(data) > 0 || s.long):
		return skip + len(data), data, nil
	case s.long:
		return skip + len(data), nil, nil
	}
	return skip, nil, nil
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
