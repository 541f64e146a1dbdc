package main

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// countWord is a word that has a number.
type countWord uint8

const (
	wordAlive countWord = iota
	wordGrowing
	wordRooted
	wordDead
	wordSold
	wordPlanted
	wordCulled
	wordUnused
	countWords
	noWord = countWords
)

// String returns the word.
func (w countWord) String() string {
	return [...]string{"alive", "growing", "rooted", "dead", "sold", "planted", "culled", "unused", "nothing"}[w]
}

// countWordOf finds a word, or the letter that stands for one.
func countWordOf(text string) (countWord, bool) {
	if at := strings.Index("agrd", text); len(text) == 1 && at >= 0 {
		return countWord(at), true
	}
	for w := range countWords {
		if text == w.String() {
			return w, true
		}
	}
	return noWord, false
}

// plainNote is a note as it is kept.
func plainNote(text string) (string, error) {
	text = norm.NFC.String(strings.Join(strings.Fields(text), " "))
	if strings.ContainsFunc(text, unicode.IsControl) {
		return "", errors.New("a note has letters and no control characters")
	}
	return text, nil
}

// noteOf returns the text behind the word note.
func noteOf(line string) (text string, is bool) {
	line = strings.TrimSpace(line)
	first, rest, _ := strings.Cut(strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, line), " ")
	return rest, strings.EqualFold(first, "note") || strings.EqualFold(first, "note:")
}

// tokensOf cuts a line into numbers and words: at spaces, commas and semicolons,
// and between digits and letters.
func tokensOf(line string) []string {
	var tokens []string
	for _, field := range strings.FieldsFunc(strings.ToLower(line), func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' }) {
		start := 0
		for i := 1; i < len(field); i++ {
			if isDigit(field[i-1]) && isLetter(field[i]) || isLetter(field[i-1]) && isDigit(field[i]) {
				tokens = append(tokens, field[start:i])
				start = i
			}
		}
		tokens = append(tokens, field[start:])
	}
	for i := 0; i+2 < len(tokens); i++ {
		if slices.Equal(tokens[i:i+3], []string{"out", "of", "mist"}) {
			tokens = slices.Replace(tokens, i, i+3, "out-of-mist")
		}
	}
	return tokens
}

func isDigit(b byte) bool  { return '0' <= b && b <= '9' }
func isLetter(b byte) bool { return 'a' <= b && b <= 'z' }

// numberOf reads a number without a sign.
func numberOf(token string) (n int, is bool) {
	number, err := strconv.ParseUint(token, 10, 31)
	return int(number), err == nil
}
