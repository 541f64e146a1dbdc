// Package terminal draws a QR code with the characters of a terminal, so that a
// phone can be pointed at the screen.
package terminal

import (
	"strings"

	"graftslip/codes/symbol"
)

const (
	// begin sets black on bright white, whatever colours the terminal has (ECMA-48,
	// SGR, for 0 and 30; 107 is xterm's).
	begin = "\x1b[0;30;107m"
	// end resets the colours before the line ends; else the rest of the line would be
	// white, too.
	end = "\x1b[0m\n"
)

// QR returns a QR code with its quiet zone, as lines of equal width. A character is one
// module wide and two high; 70 bytes of text take 45 characters and 23 lines. The error
// is that of symbol.Encode.
func QR(text string) (string, error) {
	modules, err := symbol.Encode(symbol.QR, text)
	if err != nil {
		return "", err
	}
	quietX, quietY := modules.Quiet()
	var lines strings.Builder
	// An odd number of rows adds a light one below.
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
