package command

import (
	"bytes"
	"fmt"
	"io"
	"sync"
	"unicode"
	"unicode/utf8"
)

// screen shows text that may come from anywhere: names of files, settings, notes. A terminal
// obeys control characters, and characters that change the direction of writing hide what a
// line says, so each is written as \u001b, which JSON reads as the same character. A byte that
// is not UTF-8 is written as \x9b.
type screen struct {
	out   io.Writer
	mutex sync.Mutex
	rest  []byte // a part of a character or line end; the other comes with the next write
}

// Terminal returns what a command's output really is: for pictures, and to ask whether it is
// a terminal. Text must not be written to it.
func Terminal(w io.Writer) io.Writer {
	if s, is := w.(*screen); is {
		return s.out
	}
	return w
}

func (s *screen) Write(p []byte) (int, error) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	text := append(s.rest, p...)
	s.rest = nil
	shown := make([]byte, 0, len(text))
	for len(text) > 0 {
		if !utf8.FullRune(text) || string(text) == "\r" {
			s.rest = bytes.Clone(text)
			break
		}
		r, width := utf8.DecodeRune(text)
		switch {
		case r == utf8.RuneError && width == 1:
			shown = fmt.Appendf(shown, `\x%02x`, text[0])
		case endsLine(text) || r == '\t' || !unicode.IsControl(r) && !unicode.Is(unicode.Bidi_Control, r):
			shown = append(shown, text[:width]...)
		default:
			shown = fmt.Appendf(shown, `\u%04x`, r)
		}
		text = text[width:]
	}
	if _, err := s.out.Write(shown); err != nil {
		return 0, err
	}
	return len(p), nil
}

// endsLine reports whether text begins with the end of a line. A carriage return alone would
// have the line written over.
func endsLine(text []byte) bool {
	return text[0] == '\n' || bytes.HasPrefix(text, []byte("\r\n"))
}
