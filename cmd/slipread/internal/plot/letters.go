package plot

import (
	"strings"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// weight is how bold letters are.
type weight uint8

const (
	regular weight = iota
	bold
)

// letters are measured and drawn. Lengths are in millimetres, and so is the size
// of the letters, an em.
type letters struct {
	fonts [2]*opentype.Font // by weight
	faces *font.Cache
}

func newLetters() (*letters, error) {
	l := &letters{}
	var all font.Collection
	for w, data := range [][]byte{dejavusanscondensed.TTF, dejavusanscondensedbold.TTF} {
		var err error
		if l.fonts[w], err = opentype.Parse(data); err != nil {
			return nil, err
		}
		all = append(all, font.Face{Font: weight(w).font(), Face: l.fonts[w]})
	}
	l.faces = font.NewCache(all)
	return l, nil
}

// font is what the letters are kept under.
func (w weight) font() font.Font {
	f := font.Font{Typeface: "DejaVu Sans Condensed"}
	if w == bold {
		f.Weight = xfont.WeightBold
	}
	return f
}

func (l *letters) face(size float64, w weight) font.Face {
	return l.faces.Lookup(w.font(), vg.Length(size)*vg.Millimeter)
}

// length is that of a text.
func (l *letters) length(text string, size float64, w weight) float64 {
	face := l.face(size, w)
	return float64(face.Width(text) / vg.Millimeter)
}

// lacks returns a letter of a text that the fonts do not have, 0 where they have
// all.
func (l *letters) lacks(text string) rune {
	var buffer sfnt.Buffer
	for _, letter := range text {
		for _, f := range l.fonts {
			if index, err := f.GlyphIndex(&buffer, letter); !unicode.IsSpace(letter) && (err != nil || index == 0) {
				return letter
			}
		}
	}
	return 0
}

// wrap breaks a text into lines no longer than a length: between words where it
// can be, else within them. Nothing is left out but the spaces at the breaks.
func (l *letters) wrap(text string, size float64, w weight, most float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if longer := strings.TrimSpace(line + " " + word); l.length(longer, size, w) <= most {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		line = ""
		for _, letter := range word {
			if line != "" && !unicode.Is(unicode.M, letter) && l.length(line+string(letter), size, w) > most {
				lines = append(lines, line)
				line = ""
			}
			line += string(letter)
		}
	}
	return append(lines, line)
}

// longest is the length of the longest of some lines.
func (l *letters) longest(lines []string, size float64, w weight) (length float64) {
	for _, line := range lines {
		length = max(length, l.length(line, size, w))
	}
	return length
}
