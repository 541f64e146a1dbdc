package proof

import (
	"image"
	"unicode"
)

// How the ink of letters lies in the box around a text. On all stocks of the
// catalogue, with every wrap, symbol and printers of 203, 300 and 600 dots an
// inch, texts in the built-in font have ink on 0.17 to 0.43 of their boxes; the
// longest stretch without ink is 1.40 times the height of the letters, between a
// date and a number, and the longest that is black over the whole height 0.23
// times. A white box over a text makes a longer stretch of the one, a black box
// one of the other. The room is for other fonts, and for texts of dots or dashes.
const (
	leastInk  = 0.01
	mostInk   = 0.65
	mostBlank = 3.0
	mostBlack = 0.8

	blankLine = 0.01 // ink across a text, of its height, that is none
	blackLine = 0.85 // and that is black
)

// leastLetters is how many letters or digits a text has that is measured so: a
// single l, or a dash, may fill its box.
const leastLetters = 3

// On the same labels at least 12 % of each text's box and 38 % of each symbol's
// are nearly black. Less is asked, since a page that is drawn at another
// resolution than the printer's has grey pixels at all edges.
const (
	nearlyBlack = 64   // light, of white
	letterShare = 0.03 // of a text's box
	moduleShare = 0.1  // of a symbol's
)

// fineEnough is the largest pixel, in mm, on which strokes of the smallest
// letters are black: that of 200 dots an inch.
const fineEnough = 0.128

// darkness is the share of black that the pixels of a box have, and the share of
// them that is nearly black; 0 when there are none.
func darkness(picture *image.Gray, box image.Rectangle) (ink, black float64) {
	box = box.Intersect(picture.Rect)
	sum, dark := 0, 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for _, light := range picture.Pix[picture.PixOffset(box.Min.X, y):][:box.Dx()] {
			sum += white - int(light)
			if light <= nearlyBlack {
				dark++
			}
		}
	}
	all := float64(max(1, box.Dx()*box.Dy()))
	return float64(sum) / (white * all), float64(dark) / all
}

// profile is the share of ink on each line of pixels across the longer side of
// a box within the picture.
func profile(picture *image.Gray, box image.Rectangle) []float64 {
	sums := make([]int, max(box.Dx(), box.Dy()))
	upright := box.Dx() >= box.Dy()
	for y := range box.Dy() {
		for x, light := range picture.Pix[picture.PixOffset(box.Min.X, box.Min.Y+y):][:box.Dx()] {
			line := x
			if !upright {
				line = y
			}
			sums[line] += white - int(light)
		}
	}
	lines := make([]float64, len(sums))
	for i, sum := range sums {
		lines[i] = float64(sum) / float64(white*min(box.Dx(), box.Dy()))
	}
	return lines
}

// longestRun is that of lines of which a condition holds.
func longestRun(lines []float64, holds func(ink float64) bool) (longest int) {
	run := 0
	for _, ink := range lines {
		run++
		if !holds(ink) {
			run = 0
		}
		longest = max(longest, run)
	}
	return longest
}

// hidden is what keeps a person from reading what is printed on a label, nil
// when nothing does.
func (p *proof) hidden(l label) *Fault {
	for i, text := range l.texts {
		box := l.boxes[i].Intersect(l.picture.Rect)
		ink, black := darkness(l.picture, box)
		covered, blackened := false, false
		if lettered(text) {
			height := float64(min(box.Dx(), box.Dy()))
			lines := profile(l.picture, box)
			covered = float64(longestRun(lines, func(ink float64) bool { return ink <= blankLine })) > mostBlank*height
			blackened = ink > mostInk ||
				float64(longestRun(lines, func(ink float64) bool { return ink >= blackLine })) > mostBlack*height
		}
		switch {
		case covered || ink < leastInk:
			return wrong("%q is in the file but cannot be seen, or only in part", text)
		case blackened:
			return wrong("%q is in the file but lies under a dark area", text)
		case p.grid.pixel <= fineEnough && black < letterShare:
			return wrong("%q is printed in grey", text)
		}
	}
	for _, found := range l.symbols {
		if _, black := darkness(l.picture, found.Place); black < moduleShare {
			return wrong("the symbol is printed in grey")
		}
	}
	return nil
}

func lettered(text string) bool {
	letters := 0
	for _, r := range text {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			letters++
		}
	}
	return letters >= leastLetters
}
