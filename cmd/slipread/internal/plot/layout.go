package plot

import (
	"fmt"
	"slices"
	"strconv"

	"graftslip/layouts"
)

// Sizes in millimetres, for letters that are read at arm's length on A5: our own
// choice.
const (
	pageWidth    = 136 // A5 is 148 wide
	margin       = 3
	titleSize    = 4.0
	noteSize     = 2.8
	nameSize     = 3.0
	leading      = 1.25 // from line to line, in sizes
	mostName     = 56   // longer names are broken
	gap          = 3    // between columns
	leastRow     = 6.4
	rowAir       = 2.6 // beside the lines of a name
	dotRadius    = 1.0
	lozengeReach = 1.1
	lozengeBelow = 1.9 // the line, so that neither hides the other
	thickLine    = 0.55
	thinLine     = 0.2
)

// layout is where everything stands, in millimetres from the upper left corner.
type layout struct {
	letters       *letters
	width, height float64
	title         []string
	notes         []string
	top           float64 // of the notes
	left, right   float64 // of the scale: 0 and 100 %
	rows          []placed
	head, foot    float64 // of the field of the scale
	key           []string
	caution       []string // below the key
}

// placed is a row: its name in lines, the middle of its height.
type placed struct {
	name   []string
	middle float64
}

func (c Chart) layout() (*layout, error) {
	if len(c.Rows) == 0 || len(c.Rows) > MostRows {
		return nil, fmt.Errorf("a plot of %d groups: it holds 1 to %d", len(c.Rows), MostRows)
	}
	set, err := newLetters()
	if err != nil {
		return nil, err
	}
	l := &layout{letters: set, width: pageWidth}
	inside := l.width - 2*margin
	l.title = set.wrap(c.Title, titleSize, bold, inside)
	for _, note := range c.Notes {
		l.notes = append(l.notes, set.wrap(note, noteSize, regular, inside)...)
	}
	names, counts := 0.0, set.length(graftsHead, noteSize, regular)
	for _, row := range c.Rows {
		lines := set.wrap(row.Name, nameSize, regular, mostName)
		l.rows = append(l.rows, placed{name: lines})
		names = max(names, set.longest(lines, nameSize, regular))
		counts = max(counts, set.length(strconv.Itoa(row.Grafts), nameSize, regular))
	}
	l.left = margin + names + gap
	l.right = l.width - margin - counts - gap
	l.top = margin + titleSize*leading*float64(len(l.title))
	l.head = l.top + noteSize*leading*float64(len(l.notes)) + 2*noteSize*leading // with the head of the column
	y := l.head
	for i := range l.rows {
		height := max(leastRow, nameSize*leading*float64(len(l.rows[i].name))+rowAir)
		l.rows[i].middle = y + height/2
		y += height
	}
	l.foot = y + 0.6
	l.key = append(l.key, fmt.Sprintf("share of grafts that became plants, with its interval (%s %%)", layouts.FormatNumber(c.Level*100)))
	if slices.ContainsFunc(c.Rows, func(row Row) bool { return row.Expected != nil }) {
		l.key = append(l.key, "expected of the next batch, with a range for nine of ten, learned from all batches together")
	}
	l.caution = set.wrap(caution, noteSize, regular, inside)
	l.height = l.foot + nameSize*leading*1.6 + keyPitch*float64(len(l.key)) + noteSize*leading*float64(len(l.caution)) + margin
	return l, nil
}

const (
	graftsHead = "grafts"
	caution    = "batches differ more than the thick lines show; the text says what is within chance"
	keyPitch   = 4.6
	keyLength  = 9 // of the line in the key
)

// at is the place of a share on the scale.
func (l *layout) at(share float64) float64 { return l.left + (l.right-l.left)*share }

// draw draws everything on paper.
func (c Chart) draw(l *layout, p paper) {
	p.text(point{margin, margin + titleSize}, text{l.title, titleSize, bold, start})
	p.text(point{margin, l.top + noteSize}, text{l.notes, noteSize, regular, start})
	p.text(point{l.width - margin, l.head - noteSize*0.6}, text{[]string{graftsHead}, noteSize, regular, end})
	const tenths = 10
	for tenth := range tenths + 1 {
		x, ink := l.at(float64(tenth)/tenths), pale
		if tenth == 0 || tenth == tenths {
			ink = black
		}
		p.line(point{x, l.head}, point{x, l.foot}, 0.18, ink)
		if tenth%2 == 0 {
			p.line(point{x, l.foot}, point{x, l.foot + 1}, 0.25, black)
			p.text(point{x, l.foot + 1.4 + noteSize}, text{[]string{fmt.Sprintf("%d %%", tenth*100/tenths)}, noteSize, regular, middle})
		}
	}
	p.line(point{l.left, l.foot}, point{l.right, l.foot}, 0.25, black)
	for i, row := range c.Rows {
		l.row(p, row, l.rows[i])
	}
	y := l.foot + nameSize*leading*1.6 + keyPitch/2
	p.line(point{margin, y}, point{margin + keyLength, y}, thickLine, black)
	p.dot(point{margin + keyLength/2, y}, dotRadius)
	for i, words := range l.key {
		at := y + float64(i)*keyPitch
		if i > 0 {
			p.line(point{margin, at}, point{margin + keyLength, at}, thinLine, black)
			p.lozenge(point{margin + keyLength/2, at}, lozengeReach)
		}
		p.text(point{margin + keyLength + 2, at + noteSize*0.35}, text{[]string{words}, noteSize, regular, start})
	}
	p.text(point{margin, y - keyPitch/2 + keyPitch*float64(len(l.key)) + noteSize*1.1}, text{l.caution, noteSize, regular, start})
}

func (l *layout) row(p paper, row Row, at placed) {
	first := at.middle - nameSize*leading*float64(len(at.name)-1)/2 + nameSize*0.36 // so that letters stand on the middle
	p.text(point{margin, first}, text{at.name, nameSize, regular, start})
	p.text(point{l.width - margin, at.middle + nameSize*0.36}, text{[]string{strconv.Itoa(row.Grafts)}, nameSize, regular, end})
	p.line(point{l.at(row.Low), at.middle}, point{l.at(row.High), at.middle}, thickLine, black)
	p.dot(point{l.at(row.Share), at.middle}, dotRadius)
	if e := row.Expected; e != nil {
		below := at.middle + lozengeBelow
		p.line(point{l.at(e.Low), below}, point{l.at(e.High), below}, thinLine, black)
		p.lozenge(point{l.at(e.Mean), below}, lozengeReach)
	}
}
