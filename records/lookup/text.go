// Package lookup finds the record of a text that was typed, scanned or read off a picture: the
// record itself, candidates for a damaged code, the record that a card carries, the batches with a
// name, or why there is none.
package lookup

import (
	"errors"
	"regexp"
	"strings"
	"unicode"

	"graftslip/codes"
	"graftslip/records"
)

// Form is what a text is, without a look at the ledger.
type Form uint8

// The forms.
const (
	Other     Form = iota // none of those that follow
	Code                  // a code, alone or as a record or a link carries it
	BatchName             // how the codes of a batch begin
	Damaged               // meant as a code, but not valid
	FileName
	Name // words or numbers that may be in the names of a batch, see Names
)

// Text is a text and what it is.
type Text struct {
	Read string // without the space around it
	Form Form
	Code codes.Code // the zero Code for other forms than Code and BatchName
	// Invalid is why it is not a valid code, one of the errors of package codes; nil for Code
	// and BatchName.
	Invalid error
	// Tried is how a damaged code is repaired, in the words of codes.Tried; "" if it cannot be.
	Tried string
}

// fileName matches names of pictures, PDFs and tables, and paths that cannot be names.
var fileName = regexp.MustCompile(`(?i)\.(png|jpe?g|pdf|gif|bmp|webp|tiff?|hei[cf]|svg|txt|csv|tsv|json|db|xlsx?|ods)$|^\.*[/\\]|[/\\]$|^[a-z]:\\`)

// Parse classifies a text. Without a digit, or a ? or the like for one, it is not a damaged
// code, even if all its letters look like digits.
func Parse(text string) Text {
	t := Text{Read: strings.TrimSpace(text)}
	if t.Code, t.Invalid = codes.FromSymbol(text); t.Invalid == nil {
		t.Form = Code
		return t
	}
	if batch, err := codes.ParseBatch(text); err == nil {
		t.Form, t.Code, t.Invalid = BatchName, batch, nil
		return t
	}
	tried, err := codes.Tried(text)
	switch {
	case err == nil && strings.ContainsAny(text, "0123456789?_*#"):
		t.Form, t.Tried = Damaged, tried
	case fileName.MatchString(t.Read):
		t.Form = FileName
	case LikeCode(text) && errors.Is(err, codes.ErrIllegible):
		t.Form, t.Invalid = Damaged, err
	case !LikeCode(text) && (strings.ContainsFunc(text, unicode.IsLetter) || isNumber(text)):
		t.Form = Name
	}
	return t
}

// IsCode reports whether a text is a code, alone or as a record or a link carries it.
func IsCode(text string) bool {
	_, err := codes.FromSymbol(text)
	return err == nil
}

const digitsOfCounts = 5 // the longest number that is not a code

func isNumber(text string) bool {
	text = strings.TrimSpace(text)
	return text != "" && len(text) <= digitsOfCounts && strings.Trim(text, "0123456789") == ""
}

// LikeCode reports whether a text that is neither words nor counts is meant as a code: it, or
// its first word, has more digits than any count and hardly a letter; or it is a link.
func LikeCode(text string) bool {
	first, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if strings.Contains(first, "://") || rest != "" && LikeCode(first) {
		return true
	}
	const letters = 3
	digits, others := 0, 0
	for _, r := range text {
		switch {
		case '0' <= r && r <= '9' || r == '?' || r == '_':
			digits++
		case r != ' ' && r != '-':
			others++
		}
	}
	return digits > digitsOfCounts && others <= letters
}

// carried returns the record that a text carries for a code, nil for none.
func carried(text string, code codes.Code) *records.Record {
	record, err := records.ParseLine(text)
	if err != nil || record.Code != code {
		return nil
	}
	return &record
}
