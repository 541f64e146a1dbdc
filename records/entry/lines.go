package entry

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"graftslip/codes"
	"graftslip/records"
)

// Lines gathers the lines after a code. The zero Lines is that of a tray or a batch, still empty.
type Lines struct {
	// Stem: the code is that of a stem, so a word alone means one.
	Stem    bool
	numbers [records.NumFields]records.Count // 1 for a state
	note    string
	waits   bool // the field pending was named last and waits for its number
	pending records.Field
}

// adviceOnLines lists what a line can hold.
const adviceOnLines = "enter 34 alive 12 growing 3 rooted 2 dead (or 34a 12g 3r 2d), sold 3, planted 3, culled 3, unused 3, out-of-mist, flushed, tie-removed, note with its text, done or forget"

func wrongLine(problem string, values ...any) error {
	return &Error{Problem: fmt.Sprintf(problem, values...), Advice: adviceOnLines}
}

// Says reports whether a line is valid by itself.
func Says(line string) bool {
	if _, is := noteOf(line); is {
		return true
	}
	_, err := Lines{}.take(tokens(line))
	return err == nil
}

// With returns the entry with one more line. An invalid line changes nothing. The error may
// join an *Error with the code Unanswered, which is about an earlier line.
func (l Lines) With(line string) (Lines, error) {
	words := tokens(line)
	left := l.unanswered()
	waits := l.waits
	l.waits = false
	if waits && len(words) == 1 {
		if n, is := number(words[0]); is {
			next := l
			next.numbers[l.pending] = records.Count{} // the last number counts; for a stem the word alone meant one
			if err := next.set(l.pending, n); err != nil {
				return l, err
			}
			return next, nil
		}
	}
	if text, is := noteOf(line); is {
		next, err := l.noted(text)
		return next, errors.Join(left, err)
	}
	alone := l
	alone.numbers = [records.NumFields]records.Count{}
	next, err := alone.take(words)
	if err != nil {
		return l, errors.Join(left, err)
	}
	for f, before := range l.numbers {
		if _, said := next.numbers[f].Value(); !said {
			next.numbers[f] = before
		}
	}
	return next, left
}

// Waiting reports whether the last word waits for its number.
func (l Lines) Waiting() bool { return l.waits }

// Changed lists the numbers that differ from those before. The one that a word alone means for
// a stem does not count.
func (l Lines) Changed(before Lines) []string {
	var all []string
	for f := range records.NumFields {
		was, said := before.numbers[f].Value()
		meant := before.Stem && before.waits && before.pending == f
		if is, _ := l.numbers[f].Value(); said && is != was && !meant {
			all = append(all, fmt.Sprintf("%v is now %d, was %d", f, is, was))
		}
	}
	return all
}

// Entry returns the entry; the error is a word that still lacks its number.
func (l Lines) Entry() (records.Entry, error) {
	e := records.Entry{Note: l.note}
	for f, count := range l.numbers {
		if n, said := count.Value(); said {
			e.Say(records.Field(f), n)
		}
	}
	return e, l.unanswered()
}

// unanswered is the error of a word that still waits for its number. For a stem it means one.
func (l Lines) unanswered() error {
	if !l.waits || l.Stem {
		return nil
	}
	return &Error{Code: Unanswered, Problem: fmt.Sprintf("%q has no number and was left out", l.pending), Advice: fmt.Sprintf("enter %v 34, or 34 %v", l.pending, l.pending)}
}

// take reads numbers and words, left to right. A number belongs to the word before it if that
// has none yet, else to the word after it.
func (l Lines) take(words []string) (Lines, error) {
	held, holds := 0, false
	for _, word := range words {
		n, isNumber := number(word)
		f, isField := field(word)
		var err error
		switch {
		case isNumber && holds:
			err = wordMissing(held)
		case isNumber && l.waits:
			l.waits = false
			err = l.set(l.pending, n)
		case isNumber:
			held, holds = n, true
		case !isField:
			err = wrongLine("%q is not understood", word)
		case f.IsState():
			err = l.set(f, 1)
		default:
			err = l.word(f, held, holds)
			holds = false
		}
		if err != nil {
			return l, err
		}
	}
	var err error
	switch {
	case holds && len(words) == 1:
		err = l.set(records.Alive, held)
	case holds:
		err = wordMissing(held)
	case l.Stem && l.waits:
		err = l.set(l.pending, 1)
	}
	return l, err
}

// word takes a word with the number that stood before it, or lets it wait.
func (l *Lines) word(f records.Field, held int, holds bool) error {
	switch {
	case l.waits && !l.Stem:
		return wrongLine("%q has no number", l.pending)
	case l.waits:
		if err := l.set(l.pending, 1); err != nil {
			return err
		}
	case holds:
		return l.set(f, held)
	}
	l.waits, l.pending = true, f
	return nil
}

// set sets a number, one for each word of a line.
func (l *Lines) set(f records.Field, n int) error {
	if before, said := l.numbers[f].Value(); said && before != n {
		return wrongLine("%d %v and %d %v on one line", before, f, n, f)
	}
	if n > codes.MaxStem {
		return wrongLine("%d is more than a batch can have", n)
	}
	l.numbers[f] = records.Said(n)
	return nil
}

func wordMissing(n int) error { return wrongLine("%d of what?", n) }

// noted adds a note to the one that is there.
func (l Lines) noted(text string) (Lines, error) {
	text, err := Note(text)
	switch {
	case err != nil:
		return l, err
	case text == "":
		return l, &Error{Problem: "the note is empty", Advice: "write its text after the word, such as note soft roots"}
	case l.note != "":
		text = l.note + "; " + text
	}
	l.note = text
	return l, nil
}

// noteOf returns the text behind the word note.
func noteOf(line string) (text string, is bool) {
	line = strings.TrimSpace(line)
	end := strings.IndexFunc(line, unicode.IsSpace)
	if end < 0 {
		end = len(line)
	}
	return line[end:], strings.EqualFold(line[:end], "note") || strings.EqualFold(line[:end], "note:")
}

// tokens cuts a line into numbers and words: at spaces, commas and semicolons, and between
// digits and letters.
func tokens(line string) []string {
	const digit, letter = 1, 2
	kind := func(b byte) int {
		switch {
		case '0' <= b && b <= '9':
			return digit
		case 'a' <= b && b <= 'z':
			return letter
		}
		return 0
	}
	var all []string
	for _, part := range strings.FieldsFunc(strings.ToLower(line), func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' }) {
		start := 0
		for i := 1; i < len(part); i++ {
			if kind(part[i-1])+kind(part[i]) == digit+letter {
				all = append(all, part[start:i])
				start = i
			}
		}
		all = append(all, part[start:])
	}
	for i := 0; i+2 < len(all); i++ {
		if slices.Equal(all[i:i+3], []string{"out", "of", "mist"}) {
			all = slices.Replace(all, i, i+3, records.OutOfMist.String())
		}
	}
	return all
}
