package symbol

import (
	"fmt"
	"strconv"
)

// TextError is a text that a kind of symbol cannot hold.
type TextError struct {
	Kind   Kind
	Text   string
	Reason string // such as "the text is too long"
	Advice string // what to do, in one line; may be empty
}

// Error says which text does not go into which symbol, and why.
func (e *TextError) Error() string {
	return fmt.Sprintf("%s cannot hold %s: %s", e.Kind, quoted(e.Text), e.Reason)
}

// Hint says what to do, in one line.
func (e *TextError) Hint() string { return e.Advice }

// ErrReadBack is a symbol that did not read back as the text it was made from,
// and that must not be printed therefore.
type ErrReadBack struct {
	Kind Kind
	Text string // what was encoded
	Read string // what was read; empty if nothing could be
	// Cause is the decoder's error; nil if it read something.
	Cause error
}

// Error names both texts.
func (e *ErrReadBack) Error() string {
	if e.Cause != nil {
		return fmt.Sprintf("the %s symbol made for %s cannot be read back: %v", e.Kind, quoted(e.Text), e.Cause)
	}
	return fmt.Sprintf("the %s symbol made for %s reads back as %s", e.Kind, quoted(e.Text), quoted(e.Read))
}

// Unwrap returns the decoder's error.
func (e *ErrReadBack) Unwrap() error { return e.Cause }

// Hint says what to do, in one line.
func (e *ErrReadBack) Hint() string {
	return "nothing was drawn; choose another kind of symbol and report the text"
}

// quoted quotes text for a message, and no more of it than a line holds.
func quoted(text string) string {
	const most = 60
	if runes := []rune(text); len(runes) > most {
		return strconv.Quote(string(runes[:most])) + "…"
	}
	return strconv.Quote(text)
}

// advised is any other error with advice.
type advised struct{ text, hint string }

func (e *advised) Error() string { return e.text }
func (e *advised) Hint() string  { return e.hint }
