package main

import (
	"errors"
	"fmt"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
)

// spoken is what the lines behind a code have said of it so far.
type spoken struct {
	stem    bool // the code is that of a stem, so that a word alone means one
	numbers [countWords]records.Count
	moves   records.Moves // without numbers
	note    string
	pending countWord // was said last and waits for its number, else noWord
}

// adviceOnLines says what a line can say.
const adviceOnLines = "say 34 alive 12 growing 3 rooted 2 dead (or 34a 12g 3r 2d), sold 3, planted 3, culled 3, unused 3, out-of-mist, flushed, unwrapped, note and a text, done, forget"

// with returns what was said with one more line. A line that is wrong says
// nothing; what was said before it stays. The error joins an *unansweredError,
// which is about a line before.
func (s spoken) with(line string) (spoken, error) {
	tokens := tokensOf(line)
	waiting := s.pending
	s.pending = noWord
	if waiting != noWord && len(tokens) == 1 {
		if n, is := numberOf(tokens[0]); is {
			return s.answered(waiting, n)
		}
	}
	left := s.withoutNumber(waiting)
	if text, is := noteOf(line); is {
		next, err := s.noted(text)
		return next, errors.Join(left, err)
	}
	alone := s
	alone.numbers = [countWords]records.Count{}
	next, err := alone.take(tokens)
	if err != nil {
		return s, errors.Join(left, err)
	}
	for word, before := range s.numbers {
		if _, said := next.numbers[word].Value(); !said {
			next.numbers[word] = before
		}
	}
	return next, left
}

// changed says which numbers are others than those said before. That a word
// alone meant one of a stem was not said.
func (s spoken) changed(before spoken) []string {
	var all []string
	for word := range countWords {
		was, said := before.numbers[word].Value()
		if is, _ := s.numbers[word].Value(); said && is != was && !(before.stem && before.pending == word) {
			all = append(all, fmt.Sprintf("%v is %d now, not %d", word, is, was))
		}
	}
	return all
}

// finished returns the entry, and what still lacks its number.
func (s spoken) finished() (records.Entry, error) {
	number := func(w countWord) int { n, _ := s.numbers[w].Value(); return n }
	o := records.Entry{
		Counts: records.Counts{Alive: s.numbers[wordAlive], Growing: s.numbers[wordGrowing], Rooted: s.numbers[wordRooted], Dead: s.numbers[wordDead]},
		Moves:  s.moves, Note: s.note,
	}
	o.Sold, o.Planted, o.Culled, o.Unused = number(wordSold), number(wordPlanted), number(wordCulled), number(wordUnused)
	return o, s.withoutNumber(s.pending)
}

// withoutNumber is what is wrong where a word still waits for its number. That
// of a stem has one.
func (s spoken) withoutNumber(waiting countWord) error {
	if waiting == noWord || s.stem {
		return nil
	}
	return &unansweredError{waiting}
}

// unansweredError says that a word has waited for its number in vain.
type unansweredError struct{ word countWord }

func (e *unansweredError) Error() string {
	return fmt.Sprintf("%q has no number, and was left out", e.word)
}

// Hint says what to do, in one line.
func (e *unansweredError) Hint() string { return fmt.Sprintf("say %v 34, or 34 %v", e.word, e.word) }

// answered gives the word that was said last its number.
func (s spoken) answered(word countWord, n int) (spoken, error) {
	next := s
	next.numbers[word] = records.Count{} // the last number counts; of a stem the word alone meant one
	if err := next.set(word, n); err != nil {
		return s, err
	}
	return next, nil
}

// take reads numbers and words, left to right: a number belongs to the word
// before it that has none yet, else to the one behind it.
func (s spoken) take(tokens []string) (spoken, error) {
	held, holds := 0, false
	for _, token := range tokens {
		if n, is := numberOf(token); is {
			switch {
			case holds:
				return s, wordMissing(held)
			case s.pending != noWord:
				word := s.pending
				s.pending = noWord
				if err := s.set(word, n); err != nil {
					return s, err
				}
			default:
				held, holds = n, true
			}
			continue
		}
		if word, is := countWordOf(token); is {
			if err := s.word(word, held, holds); err != nil {
				return s, err
			}
			holds = false
			continue
		}
		if err := s.done(token); err != nil {
			return s, err
		}
	}
	var err error
	switch {
	case holds && len(tokens) == 1:
		err = s.set(wordAlive, held)
	case holds:
		err = wordMissing(held)
	case s.stem && s.pending != noWord:
		err = s.set(s.pending, 1)
	}
	return s, err
}

// word takes a word with the number that stood before it, or lets it wait.
func (s *spoken) word(word countWord, held int, holds bool) error {
	waiting := s.pending
	switch {
	case holds && waiting == noWord:
		return s.set(word, held)
	case waiting == noWord:
	case !s.stem:
		return &command.HintedError{Err: fmt.Errorf("%q has no number", waiting), Advice: adviceOnLines}
	default:
		if err := s.set(waiting, 1); err != nil {
			return err
		}
	}
	s.pending = word
	return nil
}

// set says a number, one for each word in a line.
func (s *spoken) set(word countWord, n int) error {
	if before, said := s.numbers[word].Value(); said && before != n {
		return &command.HintedError{Err: fmt.Errorf("%d %v and %d %v in one line", before, word, n, word), Advice: adviceOnLines}
	}
	if n > codes.MaxStem {
		return &command.HintedError{Err: fmt.Errorf("%d is more than a batch can have", n), Advice: adviceOnLines}
	}
	s.numbers[word] = records.Said(n)
	return nil
}

// done takes a word that has no number.
func (s *spoken) done(word string) error {
	switch word {
	case "out-of-mist":
		s.moves.OutOfMist = true
	case "flushed":
		s.moves.Flushed = true
	case "unwrapped":
		s.moves.Unwrapped = true
	default:
		return &command.HintedError{Err: fmt.Errorf("%q is not understood", word), Advice: adviceOnLines}
	}
	return nil
}

func wordMissing(n int) error {
	return &command.HintedError{Err: fmt.Errorf("%d of what is not said", n), Advice: adviceOnLines}
}

// noted adds a note to the one that is there.
func (s spoken) noted(text string) (spoken, error) {
	text, err := plainNote(text)
	switch {
	case err != nil:
		return s, err
	case text == "":
		return s, &command.HintedError{Err: errors.New("the note says nothing"), Advice: "write note soft roots"}
	case s.note != "":
		text = s.note + "; " + text
	}
	s.note = text
	return s, nil
}
