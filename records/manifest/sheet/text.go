package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/htmlindex"
	"golang.org/x/text/encoding/ianaindex"
)

// ParseEncoding returns the name of an encoding, or an error if it is unknown. The
// names are those of the web (windows-1250, macintosh, utf-16le) and of IANA (IBM850).
func ParseEncoding(name string) (string, error) {
	_, err := encodingOf(name)
	return name, err
}

func encodingOf(name string) (encoding.Encoding, error) {
	if known, err := htmlindex.Get(name); err == nil {
		return known, nil
	}
	if known, err := ianaindex.IANA.Encoding(name); err == nil && known != nil {
		return known, nil
	}
	return nil, fmt.Errorf("%q is not a known encoding; give a name such as windows-1250, macintosh or IBM850", name)
}

const (
	utf8Name    = "utf-8"
	assumedName = "windows-1252" // of text that is not UTF-8
)

// plainText returns the text of a CSV file in UTF-8, without its byte order mark
// and with line feeds between its lines; and hints about an assumed encoding. Invalid
// bytes stay in text that should be UTF-8, so that their cell shows the fault.
func plainText(data []byte, name string) (text []byte, hints []string, fault *Fault) {
	text, name = withoutMark(data, name)
	if utf8.Valid(text) && bytes.IndexFunc(text, func(r rune) bool { return r > unicode.MaxASCII }) >= 0 {
		name = utf8Name // text in another encoding is never UTF-8 by chance
	}
	assumed := name == "" && mostlyInvalid(text)
	if assumed {
		name = assumedName
	}
	if name != "" && name != utf8Name {
		from, err := encodingOf(name)
		if err == nil {
			text, err = from.NewDecoder().Bytes(text)
		}
		if err != nil {
			return nil, nil, &Fault{"text that cannot be read as " + name, "another --encoding: " + err.Error()}
		}
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, nil, &Fault{"zero bytes, as in a binary file", saveAs + "; or give --encoding utf-16le if it is text in UTF-16"}
	}
	if assumed {
		hints = []string{fmt.Sprintf("the file is not UTF-8, so it was read as %s, with words such as %q; if that looks wrong, give its --encoding, such as windows-1250 or macintosh",
			assumedName, accentedWord(string(text)))}
	}
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n")), hints, nil
}

// mostlyInvalid reports whether a text has more invalid bytes than valid characters
// beyond ASCII. Text in another encoding is hardly ever valid by chance; if only a few
// bytes are wrong, the text was damaged.
func mostlyInvalid(text []byte) bool {
	if utf8.Valid(text) {
		return false
	}
	balance := 0
	for len(text) > 0 {
		r, width := utf8.DecodeRune(text)
		switch {
		case r == utf8.RuneError && width == 1:
			balance++
		case width > 1:
			balance--
		}
		text = text[width:]
	}
	return balance > 0
}

// withoutMark takes off a byte order mark, which beats the name of an encoding.
func withoutMark(data []byte, name string) ([]byte, string) {
	for _, marked := range [][2]string{{"\xef\xbb\xbf", utf8Name}, {"\xff\xfe", "utf-16le"}, {"\xfe\xff", "utf-16be"}} {
		if text, found := bytes.CutPrefix(data, []byte(marked[0])); found {
			return text, marked[1]
		}
	}
	return data, name
}

// accentedWord returns the first word with a letter beyond ASCII, or the first
// with any character beyond it.
func accentedWord(text string) string {
	var other string
	for word := range strings.FieldsFuncSeq(text, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune(`,;"`, r) }) {
		for _, r := range word {
			if r > unicode.MaxASCII && unicode.IsLetter(r) {
				return word
			}
			if r > unicode.MaxASCII && other == "" {
				other = word
			}
		}
	}
	return other
}
