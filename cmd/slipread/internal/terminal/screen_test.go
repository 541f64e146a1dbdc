package terminal

import (
	"image"
	"image/color"
	"image/draw"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// theme is how a terminal shows colours, as far as they are used.
type theme struct {
	text, paper  color.RGBA // of its own, where nothing else is said
	black, white color.RGBA // colour 0, and 15 as a background
}

// cell is one character on a screen, with its colours.
type cell struct {
	letter      rune
	text, paper color.RGBA
}

// screen is what a terminal shows of a text: its lines, and the colours that
// the text leaves behind it.
type screen struct {
	theme
	lines [][]cell
	text  color.RGBA
	paper color.RGBA
}

// show puts a text on a screen. It knows SGR sequences of the colours in use
// and nothing else: whatever else comes fails the test.
func show(t *testing.T, on theme, text string) screen {
	t.Helper()
	s := screen{theme: on, text: on.text, paper: on.paper}
	line := []cell{}
	for text != "" {
		if rest, escaped := strings.CutPrefix(text, "\x1b["); escaped {
			codes, after, ended := strings.Cut(rest, "m")
			require.True(t, ended, "%q has no end", rest)
			for code := range strings.SplitSeq(codes, ";") {
				s.style(t, code)
			}
			text = after
			continue
		}
		letter, size := utf8.DecodeRuneInString(text)
		text = text[size:]
		if letter == '\n' {
			require.Equal(t, on.paper, s.paper, "the rest of the line would have the colour")
			s.lines, line = append(s.lines, line), []cell{}
		} else {
			line = append(line, cell{letter, s.text, s.paper})
		}
	}
	require.Empty(t, line, "the last line ends")
	return s
}

func (s *screen) style(t *testing.T, code string) {
	t.Helper()
	number, err := strconv.Atoi(code)
	require.NoError(t, err)
	switch number {
	case 0:
		s.text, s.paper = s.theme.text, s.theme.paper
	case 30:
		s.text = s.black
	case 107:
		s.paper = s.white
	default:
		require.Fail(t, "no colour of these", "%d", number)
	}
}

// draw draws the screen with characters of so many pixels, and some of the
// terminal round it.
func (s screen) draw(t *testing.T, width, height int) *image.RGBA {
	t.Helper()
	columns := 0
	for _, line := range s.lines {
		columns = max(columns, len(line))
	}
	picture := image.NewRGBA(image.Rect(0, 0, (columns+6)*width, (len(s.lines)+4)*height))
	draw.Draw(picture, picture.Rect, image.NewUniform(s.theme.paper), image.Point{}, draw.Src)
	for row, line := range s.lines {
		for column, c := range line {
			whole := image.Rect(0, 0, width, height).Add(image.Pt((column+3)*width, (row+2)*height))
			draw.Draw(picture, whole, image.NewUniform(c.paper), image.Point{}, draw.Src)
			ink := whole
			switch c.letter {
			case '█':
			case '▀':
				ink.Max.Y -= (height + 1) / 2
			case '▄':
				ink.Min.Y += height / 2
			case ' ':
				ink = image.Rectangle{}
			default:
				require.Fail(t, "no block", "%q", c.letter)
			}
			draw.Draw(picture, ink, image.NewUniform(c.text), image.Point{}, draw.Src)
		}
	}
	return picture
}
