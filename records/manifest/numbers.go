package manifest

import (
	"fmt"
	"strings"

	"graftslip/codes"
	"graftslip/records/manifest/sheet"
)

// number is a number as written: its digits, and what the comma or point in it can mean.
type number struct {
	whole, fraction string // digits; the fraction follows a separator that may be decimal
	decimal         string // the separator if it can only mark decimals
	grouping        string // the separator if it can only mark thousands
	open            string // the separator if it can mark either, as in 1.025
}

// parseNumber reads a number without a unit: 25, 25.0, 7,5, 1 025, 1'025, 1.025,5.
// It reports false for any other text.
func parseNumber(text string) (n number, ok bool) {
	const longest = 40 // bytes; more is a text
	if len(text) > longest {
		return n, false
	}
	if whole, mark, ok := ungrouped(text); ok {
		n.whole = whole
		switch {
		case mark != "." && mark != ",":
		case strings.Count(text, mark) > 1:
			n.grouping = mark
		default:
			n.whole, n.fraction, _ = strings.Cut(text, mark)
			n.open = mark
		}
		return n, true
	}
	cut := max(strings.LastIndexAny(text, ".,"), 0)
	whole, mark, ok := ungrouped(text[:cut])
	if !ok || !isDigits(text[cut+1:]) || mark == text[cut:cut+1] {
		return n, false
	}
	n = number{whole: whole, fraction: text[cut+1:], decimal: text[cut : cut+1]}
	if mark == "." || mark == "," {
		n.grouping = mark
	}
	return n, true
}

// ungrouped takes the marks out of digits in groups of three, separated by spaces,
// apostrophes, points or commas. Digits without groups have no mark.
func ungrouped(text string) (whole, mark string, ok bool) {
	const group = 3
	if isDigits(text) {
		return text, "", true
	}
	for _, mark := range []string{" ", "'", "’", ".", ","} {
		parts := strings.Split(text, mark)
		if len(parts) == 1 || len(parts[0]) > group || strings.HasPrefix(parts[0], "0") {
			continue
		}
		ok := true
		for i, part := range parts {
			ok = ok && isDigits(part) && (i == 0 || len(part) == group)
		}
		if ok {
			return strings.Join(parts, ""), mark, true
		}
	}
	return "", "", false
}

func isDigits(text string) bool {
	return text != "" && strings.Trim(text, "0123456789") == ""
}

// numberUse is what the numbers of one file show about their separators: which can
// only mark decimals, and which thousands.
type numberUse struct {
	decimal  map[string]bool // in a count, or in a number with a unit
	counted  map[string]bool // before the decimals of a count
	grouping map[string]bool
	guessed  *spot // a count whose separator nothing else in the file explains, or nil
}

// decideNumbers compares the counts with the other numbers, which have units.
// A count such as 1.025 is a thousand and more, unless another number shows that
// its separator marks decimals.
func decideNumbers(counts, others []spot) numberUse {
	use := numberUse{decimal: map[string]bool{}, counted: map[string]bool{}, grouping: map[string]bool{}}
	points := false // mark the decimals of others
	for _, cell := range others {
		number := strings.TrimSuffix(cell.text, strings.TrimLeft(cell.text, "0123456789.,")) // without its unit
		// No diameter or share is a thousand. A point shows little: who writes a comma
		// may copy 7.5mm from a manual.
		switch n, _ := parseNumber(number); n.decimal + n.open {
		case ",":
			use.decimal[","] = true
		case ".":
			points = true
		}
	}
	var open []spot
	for _, cell := range counts {
		n, _ := parseNumber(cell.text)
		use.decimal[n.decimal], use.counted[n.decimal], use.grouping[n.grouping] = true, true, true
		if n.open != "" && strings.Trim(n.fraction, "0") != "" {
			open = append(open, cell)
		}
	}
	for _, cell := range open {
		if n, _ := parseNumber(cell.text); use.meaning(n.open) == unknown && !use.decimal[n.open] {
			use.grouping[n.open] = true
			if n.open == "." || !points {
				use.guessed = &cell
			}
		}
	}
	return use
}

// meaning is what a separator marks in a file.
type meaning uint8

const (
	unknown meaning = iota
	decimals
	thousands
)

// meaning infers what a separator in a count marks from its other uses, or from the
// meaning of the other separator.
func (u numberUse) meaning(sign string) meaning {
	other := map[string]string{".": ",", ",": "."}[sign]
	switch {
	case u.grouping[sign] && !u.decimal[sign]:
		return thousands
	case u.counted[sign] && !u.grouping[sign]:
		return decimals
	case u.decimal[sign] || u.grouping[sign]:
		return unknown
	case u.decimal[other] && !u.grouping[other]:
		return thousands
	case u.grouping[other] && !u.decimal[other]:
		return decimals
	}
	return unknown
}

// count reads a whole number from 1 to codes.MaxStem.
func (c cell) count() (int, *fault) {
	text := tidy(c.Text)
	n, ok := parseNumber(text)
	if c.Kind == sheet.Number && n.open != "" { // a workbook writes a decimal point
		n.decimal, n.open = n.open, ""
	}
	if n.open != "" {
		switch c.use.numbers.meaning(n.open) {
		case thousands:
			n = number{whole: n.whole + n.fraction}
		case unknown:
			return 0, c.wrong(fmt.Sprintf("a number without separators: the file does not show whether %q marks thousands or decimals", n.open))
		}
	}
	whole := 0
	ok = ok && len(n.whole) <= 4 && !strings.HasPrefix(n.whole, "0") && strings.Trim(n.fraction, "0") == ""
	for i := 0; ok && i < len(n.whole); i++ {
		whole = 10*whole + int(n.whole[i]-'0')
	}
	if ok && whole <= codes.MaxStem {
		return whole, nil
	}
	f := c.wrong(expectedNumber)
	if n.open != "" {
		f.advice = fmt.Sprintf("elsewhere in this file %q marks decimals: write thousands without separators, as in %s", n.open, n.whole+n.fraction)
	}
	return 0, f
}
