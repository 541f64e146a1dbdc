// Package entry is the grammar of entries at the bed. Flags, the lines of a scanner and the
// forms of a page use the same words and numbers, which become a records.Entry.
package entry

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/records"
)

// Code is the kind of an Error, for callers that treat kinds differently.
type Code uint8

// The codes.
const (
	Wrong      Code = iota // a person's mistake
	Unanswered             // a word of an earlier line that still waits for its number
	Malformed              // a form that no page of ours sends
)

// Error is what is wrong with an entry.
type Error struct {
	Code    Code
	Field   string // of the form; may be empty
	Problem string
	Advice  string // may be empty
}

func (e *Error) Error() string { return e.Problem }

// Hint returns the advice, in one line; it may be empty.
func (e *Error) Hint() string { return e.Advice }

// Set sets a field of an entry to a number of stems, or to "true" or "false" where the
// field is a state.
func Set(e *records.Entry, field records.Field, text string) error {
	if field.IsState() {
		reached, err := strconv.ParseBool(text)
		e.Say(field, map[bool]int{true: 1}[reached])
		return err
	}
	n, is := number(text)
	if !is || n > codes.MaxStem {
		return fmt.Errorf("give a number from 0 to %d", codes.MaxStem)
	}
	e.Say(field, n)
	return nil
}

// Note returns a note as it is kept: in one line, in Unicode normalisation form C. One with
// control characters is refused.
func Note(text string) (string, error) {
	text = norm.NFC.String(strings.Join(strings.Fields(text), " "))
	if strings.ContainsFunc(text, unicode.IsControl) {
		return "", errors.New("a note cannot hold control characters")
	}
	return text, nil
}

// number reads a number of at most nine digits, without a sign.
func number(text string) (n int, is bool) {
	const mostDigits = 9
	if len(text) > mostDigits || strings.Trim(text, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// field finds the field of a word, or of the letter that stands for one.
func field(word string) (records.Field, bool) {
	if word == "unwrapped" { // older entries on phones and habits have this word
		return records.TieRemoved, true
	}
	for f := range records.NumFields {
		if word == f.String() || f.IsCount() && word == f.String()[:1] {
			return f, true
		}
	}
	return 0, false
}
