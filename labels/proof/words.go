package proof

import (
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
)

// compact is a text without white space, in which it may differ where a line
// was broken, and with ligatures taken apart, as readers of PDF do.
func compact(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, norm.NFKC.String(text))
}

// printedCodes returns the codes that stand in print, in order. A code may be
// broken into two texts behind the batch, where the break stands for the
// hyphen.
func printedCodes(texts []string) []codes.Code {
	shape := regexp.MustCompile(`\b([0-9]{5}-[0-9]{3})[-\n]([0-9]{4}-[0-9]{2})\b`)
	var printed []codes.Code
	for _, parts := range shape.FindAllStringSubmatch(strings.Join(texts, "\n"), -1) {
		if code, err := codes.Parse(parts[1] + "-" + parts[2]); err == nil {
			printed = append(printed, code)
		}
	}
	return printed
}

// stands reports whether a name stands in print: as one text or several that
// follow each other and hold nothing else, but for the bar between scion and
// rootstock.
func stands(name string, texts []string) bool {
	name = compact(name)
	for first := range texts {
		rest := name
		for i, text := range texts[first:] {
			text = compact(text)
			if i == 0 && !strings.HasPrefix(rest, "/") {
				text = strings.TrimPrefix(text, "/")
			}
			var follows bool
			if rest, follows = strings.CutPrefix(rest, text); !follows {
				break
			}
			if rest == "" {
				return true
			}
		}
	}
	return false
}
