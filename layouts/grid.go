package layouts

import (
	"fmt"
	"regexp"
	"strconv"
)

// gridAdvice shows how a grid is written.
const gridAdvice = "write paper, columns x rows and the size of a label: a4-4x12:48.5x21.2mm or letter-3x10:2.625x1in"

// parseGrid reads label stock of any measures, in lower case: paper, columns x
// rows and the label's width x height, as in a4-4x12:48.5x21.2mm. After "@"
// comes the pitch, else labels touch; after "+" the left and the upper margin,
// else the grid is centred. The unit comes once, at the end. The paper
// is a4, letter or a width x height; "roll-" or "card-" before it sets the
// medium. The name of the stock is the text with plain numbers.
func parseGrid(text string) (Stock, error) {
	const n = `([0-9]{1,4}(?:\.[0-9]{1,4})?)`
	parts := regexp.MustCompile(`^(?:(sheet|roll|card)-)?(?:(a4|letter)|` + n + `x` + n + `)-([0-9]{1,3})x([0-9]{1,3}):` +
		n + `x` + n + `(?:@` + n + `x` + n + `)?(?:\+` + n + `x` + n + `)?(mm|in)$`).FindStringSubmatch(text)
	if parts == nil {
		return Stock{}, &Error{fmt.Sprintf("%q is not label stock", text), gridAdvice}
	}
	unit := 1.0
	if parts[13] == "in" {
		unit = MillimetresPerInch
	}
	size := func(width, height string) (Size, string) {
		x, y := number(width), number(height)
		return Size{x * unit, y * unit}, strconv.FormatFloat(x, 'f', -1, 64) + "x" + strconv.FormatFloat(y, 'f', -1, 64)
	}
	paper, name := size(parts[3], parts[4])
	if known, err := ParsePaper(parts[2]); err == nil {
		paper, name = known.Size(), parts[2]
	}
	medium := Sheet
	switch parts[1] {
	case "roll":
		medium, name = Roll, "roll-"+name
	case "card":
		medium, name = Card, "card-"+name
	}
	columns, rows := int(number(parts[5])), int(number(parts[6]))
	label, written := size(parts[7], parts[8])
	name += fmt.Sprintf("-%dx%d:%s", columns, rows, written)
	pitch := label
	if parts[9] != "" {
		pitch, written = size(parts[9], parts[10])
		name += "@" + written
	}
	s := grid(name, medium, paper, columns, rows, label, pitch.Width, pitch.Height)
	if parts[11] != "" {
		var margin Size
		margin, written = size(parts[11], parts[12])
		s.Left, s.Top = margin.Width, margin.Height
		s.Name += "+" + written
	}
	s.Name += parts[13]
	if err := s.Check(); err != nil {
		return Stock{}, err
	}
	return s, nil
}

// parseOwn reads label stock that has a name of its own: NAME=GRID.
func parseOwn(name, text string) (Stock, error) {
	if !regexp.MustCompile(`^[a-z0-9][a-z0-9_-]{0,39}$`).MatchString(name) {
		return Stock{}, &Error{fmt.Sprintf("%q cannot name label stock", name), "use up to 40 letters a-z, digits, hyphens and underscores"}
	}
	if _, err := Lookup(name); err == nil {
		return Stock{}, &Error{fmt.Sprintf("%s is already the name of listed label stock", name), "choose another name"}
	}
	s, err := parseGrid(text)
	if err != nil {
		return Stock{}, err
	}
	s.Name, s.full = name, name+"="+s.Name
	return s, nil
}

// Check verifies that the labels lie on the paper and apart, and that each has
// room for print. The error, an *Error, says by how many millimetres they miss,
// and what would fit.
func (s Stock) Check() error {
	if s.Medium < Sheet || s.Medium > Card {
		return &Error{Text: "label stock is a sheet, a roll or a card"}
	}
	for _, side := range []struct {
		labels, across              string
		paper, label, pitch, margin float64
		count                       int
	}{
		{"columns", "wide", s.Paper.Width, s.Label.Width, s.PitchX, s.Left, s.Columns},
		{"rows", "high", s.Paper.Height, s.Label.Height, s.PitchY, s.Top, s.Rows},
	} {
		const (
			slack          = 0.05 // mm; trade dimensions are rounded
			most           = 100  // labels side by side
			least, longest = 6, 1500
		)
		mm := FormatLength
		margin := max(0, side.margin) // negative if a centred grid is too large
		taken := margin + side.label + float64(side.count-1)*side.pitch
		over := taken - side.paper
		switch {
		case side.count < 1 || side.count > most:
			return &Error{fmt.Sprintf("%d %s of labels are not possible", side.count, side.labels), fmt.Sprintf("give 1 to %d", most)}
		case !(side.paper >= least && side.paper <= longest):
			return &Error{fmt.Sprintf("paper %s %s is not possible", mm(side.paper), side.across), fmt.Sprintf("paper measures %d to %d mm each way", least, longest)}
		case !(side.label > 2*Edge):
			return &Error{fmt.Sprintf("a label %s %s has no room for print", mm(side.label), side.across),
				fmt.Sprintf("%s at each cut edge stay blank", mm(Edge))}
		case side.count > 1 && !(side.pitch >= side.label-slack):
			return &Error{fmt.Sprintf("labels %s %s overlap by %s at a pitch of %s", mm(side.label), side.across, mm(side.label-side.pitch), mm(side.pitch)),
				"the pitch is from one label's edge to the same edge of the next"}
		case !(over <= slack):
			behind := ""
			if margin > 0 {
				behind = " with a margin of " + mm(margin)
			}
			return &Error{fmt.Sprintf("%d %s of labels %s %s%s take %s, %s more than the paper is %s",
				side.count, side.labels, mm(side.label), side.across, behind, mm(taken), mm(over), side.across),
				whatFits(side.labels, side.across, side.paper-margin, side.label, side.pitch, side.count)}
		case side.margin < -slack:
			return &Error{Text: fmt.Sprintf("a margin of %s is outside the paper", mm(side.margin))}
		}
	}
	return nil
}

// whatFits advises what fits into a length, in mm, too short for this many labels.
func whatFits(labels, across string, length, label, pitch float64, count int) string {
	if label > length {
		return fmt.Sprintf("the paper has room for a label %s mm %s", FormatTenth(max(0, length)), across)
	}
	fit := fmt.Sprintf("%d %s fit", 1+int((length-label)/pitch), labels)
	if length-label < pitch {
		fit = "one fits"
	}
	if pitch > label {
		return fmt.Sprintf("%s, or a pitch of up to %s mm", fit, FormatTenth((length-label)/float64(count-1)))
	}
	return fmt.Sprintf("%s, or labels up to %s mm %s", fit, FormatTenth(length/float64(count)), across)
}
