package codes

import (
	"strings"
	"unicode"
)

// printed is the number of bytes of a code as String prints it.
const printed = length + 3

// FromSymbol returns the code that the text of a symbol on a slip carries:
//
//   - a code alone, in all that Parse tolerates;
//   - a record, one line that begins with the code exactly as String prints it,
//     then one space and more text with a letter in it;
//   - a link, http or https in capitals or not, with a host, whose path ends in
//     the code, its digits alone or with hyphens between them, and nothing
//     behind it.
//
// A record or link may have a symbology identifier directly before it, as Parse
// tolerates it. The error is one of Parse's: that of the code where a record or
// a link has one, and ErrShape for a link of any other form. FromSymbol does not
// allocate.
func FromSymbol(text string) (Code, error) {
	body := text
	if len(body) > 2 && body[2]-'0' <= 9 && endsIdentifier(body[:2]) {
		body = body[3:]
	}
	if body != "" && body[0]-'0' <= 9 {
		if isRecord(body) {
			return Parse(body[:printed])
		}
		return Parse(text)
	}
	if scheme, rest, found := strings.Cut(body, "://"); found {
		return fromLink(scheme, rest)
	}
	return Parse(text)
}

// isRecord reports whether s begins like a record. That a letter follows tells
// it from a printed code with digits too many behind it.
func isRecord(s string) bool {
	if len(s) < printed+2 || s[printed] != ' ' || s[printed+1] == ' ' {
		return false
	}
	for i := range printed {
		hyphen := i == 5 || i == 9 || i == 14
		if hyphen != (s[i] == '-') || !hyphen && s[i]-'0' > 9 {
			return false
		}
	}
	return strings.ContainsFunc(s[printed+1:], unicode.IsLetter)
}

// fromLink returns the code at the end of a link, given what stands before and
// behind its "://".
func fromLink(scheme, rest string) (Code, error) {
	if !strings.EqualFold(scheme, "http") && !strings.EqualFold(scheme, "https") {
		return Code{}, ErrShape
	}
	host := strings.IndexByte(rest, '/')
	if host < 1 || !isHost(rest[:host]) || strings.ContainsFunc(rest, leavesPath) {
		return Code{}, ErrShape
	}
	last := rest[strings.LastIndexByte(rest, '/')+1:]
	if last == "" || last[0] == '-' || last[len(last)-1] == '-' || strings.Trim(last, "0123456789-") != "" {
		return Code{}, ErrShape
	}
	return Parse(last)
}

// isHost reports whether s looks like a host, with or without a port.
func isHost(s string) bool {
	if s[0] == ':' {
		return false
	}
	return !strings.ContainsFunc(s, func(r rune) bool {
		letter := 'a' <= r|0x20 && r|0x20 <= 'z'
		return !letter && !('0' <= r && r <= '9') && !strings.ContainsRune("-.:[]", r)
	})
}

// leavesPath reports whether r cannot stand in the path of a link: it begins a
// query or a fragment, or would be escaped.
func leavesPath(r rune) bool {
	return r <= ' ' || r > '~' || strings.ContainsRune(`?#\"<>`, r)
}
