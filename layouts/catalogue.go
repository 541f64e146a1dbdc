package layouts

import (
	"fmt"
	"regexp"
	"strings"
)

// Catalogue lists the label stock that has a name, by paper. The die-cut
// grids are trade dimensions (common practice, from public label scripts); the
// grids of 11 and 14 rows are plain paper for a guillotine, inside the part that
// every printer reaches.
func Catalogue() []Stock {
	const inch = MillimetresPerInch
	letter, a4 := Letter.Size(), A4.Size()
	return []Stock{
		grid("letter-3x10", Sheet, letter, 3, 10, Size{66.675, 25.4}, 69.85, 25.4),
		grid("letter-2x10", Sheet, letter, 2, 10, Size{101.6, 25.4}, 104.775, 25.4),
		grid("letter-2x5", Sheet, letter, 2, 5, Size{101.6, 50.8}, 104.775, 50.8),
		grid("letter-2x3", Sheet, letter, 2, 3, Size{101.6, 84.667}, 106.759, 84.667),
		grid("letter-4x20", Sheet, letter, 4, 20, Size{44.45, 12.7}, 52.07, 12.7),
		cut("letter-2x11", Sheet, letter, 2, 11, Unprintable),
		cut("letter-1x11", Sheet, letter, 1, 11, Unprintable),
		cut("letter-1x14", Sheet, letter, 1, 14, Unprintable),
		grid("a4-3x7", Sheet, a4, 3, 7, Size{63.5, 38.1}, 66.04, 38.1),
		grid("a4-3x8", Sheet, a4, 3, 8, Size{70, 37}, 70, 37),
		grid("a4-2x7", Sheet, a4, 2, 7, Size{99.1, 38.1}, 101.6, 38.1),
		grid("a4-5x13", Sheet, a4, 5, 13, Size{38.1, 21.2}, 40.64, 21.2),
		grid("a4-4x10", Sheet, a4, 4, 10, Size{52.5, 29.7}, 52.5, 29.7),
		cut("a4-2x11", Sheet, a4, 2, 11, Unprintable),
		cut("a4-1x11", Sheet, a4, 1, 11, Unprintable),
		cut("a4-1x14", Sheet, a4, 1, 14, Unprintable),
		single("strip-16x178", Roll, Size{16, 178}),
		single("strip-19x200", Roll, Size{19, 200}),
		single("strip-25x150", Roll, Size{25, 150}),
		single("strip-25x200", Roll, Size{25, 200}),
		single("strip-0.75x8in", Roll, Size{0.75 * inch, 8 * inch}),
		single("strip-1x6in", Roll, Size{inch, 6 * inch}),
		single("strip-1x8in", Roll, Size{inch, 8 * inch}),
		cut("letter-2x2", Card, letter, 2, 2, 0),
		cut("a4-2x2", Card, a4, 2, 2, 0),
		single("card-a6", Card, Size{105, 148}),
		single("card-3x5in", Card, Size{3 * inch, 5 * inch}),
		single("card-4x6in", Card, Size{4 * inch, 6 * inch}),
	}
}

// grid is a stock whose margins are what its labels leave of the paper.
func grid(name string, medium Medium, paper Size, columns, rows int, label Size, pitchX, pitchY float64) Stock {
	return Stock{
		Name: name, Medium: medium, Paper: paper, Columns: columns, Rows: rows, Label: label, PitchX: pitchX, PitchY: pitchY,
		Left: (paper.Width - label.Width - float64(columns-1)*pitchX) / 2,
		Top:  (paper.Height - label.Height - float64(rows-1)*pitchY) / 2,
	}
}

// cut is plain paper that is cut into equal pieces, without a margin for cards
// that come perforated so, with one for paper that meets a guillotine.
func cut(name string, medium Medium, paper Size, columns, rows int, margin float64) Stock {
	label := Size{(paper.Width - 2*margin) / float64(columns), (paper.Height - 2*margin) / float64(rows)}
	return grid(name, medium, paper, columns, rows, label, label.Width, label.Height)
}

// single is a stock of one label or page without a margin.
func single(name string, medium Medium, label Size) Stock {
	return grid(name, medium, label, 1, 1, label, label.Width, label.Height)
}

// Lookup finds a stock by its name: one of the catalogue's; "strip-" or "card-"
// with width × length in millimetres or, with "in" behind them, in inches, for a
// roll or card of any size; or a grid with its measures, see parseGrid, perhaps
// behind a name of its own and "=". Rolls are 6-120 mm wide and 20-500 mm long,
// cards 60-300 mm either way. The error is an *Error.
func Lookup(name string) (Stock, error) {
	name = strings.NewReplacer("×", "x", ",", ".").Replace(strings.ToLower(strings.TrimSpace(name)))
	for _, stock := range Catalogue() {
		if stock.Name == name {
			return stock, nil
		}
	}
	if own, measures, found := strings.Cut(name, "="); found {
		return parseOwn(own, measures)
	}
	if strings.Contains(name, ":") {
		return parseGrid(name)
	}
	unknown := &Error{fmt.Sprintf("there is no label stock %q", name),
		"graftslip label-stock lists the names; any other is named by its size: strip-25x180, strip-1x7in, card-90x140 or a4-4x12:48.5x21.2mm"}
	parts := regexp.MustCompile(`^(strip|card)-([0-9.]{1,9})x([0-9.]{1,9})(in)?$`).FindStringSubmatch(name)
	if parts == nil {
		return Stock{}, unknown
	}
	unit := "mm"
	if parts[4] != "" {
		unit = parts[4]
	}
	width, errWidth := ParseLength(parts[2] + unit)
	length, errLength := ParseLength(parts[3] + unit)
	if errWidth != nil || errLength != nil {
		return Stock{}, unknown
	}
	if parts[1] == "strip" {
		if width < 6 || width > 120 || length < 20 || length > 500 || length < width {
			turned := ""
			if length < width {
				turned = fmt.Sprintf("the width of the roll comes first, as in strip-%sx%s%s", parts[3], parts[2], parts[4])
			}
			return Stock{}, &Error{"label stock " + name + ": labels on a roll must be 6-120 mm wide, 20-500 mm long, and no wider than they are long", turned}
		}
		return single(name, Roll, Size{width, length}), nil
	}
	if width < 60 || width > 300 || length < 60 || length > 300 {
		return Stock{}, &Error{Text: "label stock " + name + ": a card must measure 60-300 mm each way"}
	}
	return single(name, Card, Size{width, length}), nil
}
