// Package terminal draws a QR code with the characters of a terminal, so that a
// phone can be pointed at the screen.
package terminal

import (
	"strings"

	"graftslip/codes/symbol"
)

const (
	// begin makes all that follows black on bright white, whatever colours and
	// styles the terminal has (ECMA-48, SGR, for 0 and 30; 107 is xterm's).
	begin = "\x1b[0;30;107m"
	// end gives the terminal its own colours back, before the line ends: the
	// rest of the line would be white, too.
	end = "\x1b[0m\n"
)

// QR returns a QR code of text with its whole quiet zone, as lines that end with
// a line break. A character is as wide as a module and as high as two. All lines
// are equally wide: 45 characters, 23 lines for 70 bytes of text. The error is
// that of symbol.Encode.
func QR(text string) (string, error) {
	modules, err := symbol.Encode(symbol.QR, text)
	if err != nil {
		return "", err
	}
	quietX, quietY := modules.Quiet()
	var lines strings.Builder
	// Where the last line has but one module, the light one below makes the quiet
	// zone wider.
	for y := -quietY; y < modules.Height()+quietY; y += 2 {
		lines.WriteString(begin)
		for x := -quietX; x < modules.Width()+quietX; x++ {
			lines.WriteRune(block(modules.Dark(x, y), modules.Dark(x, y+1)))
		}
		lines.WriteString(end)
	}
	return lines.String(), nil
}

// block is the character for two modules, one above the other.
func block(upper, lower bool) rune {
	switch {
	case upper && lower:
		return '█'
	case upper:
		return '▀'
	case lower:
		return '▄'
	}
	return ' '
}
