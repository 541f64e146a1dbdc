// Package plot draws shares of groups with what is uncertain about them, a group
// a line, black on white: as a picture of dots or of lines and letters. No other
// package knows how.
//
// Pictures are drawn by gonum.org/v1/plot. Its plots are not used, since the rows
// of ours are as high as their names need, and neither is its writer of SVG, vgsvg
// (v0.17.0). That puts all colours, widths of lines and sizes of letters into
// style attributes, which the page for phones forbids: nothing is left but letters
// of one size over each other. Even where styles are allowed it names no second
// font and says no length of a text, so that without DejaVu Sans Condensed, as on
// phones, names run into the scale and numbers over the edge; with the fonts in it
// a plot of a few rows has 1.8 MB rather than 6 kB. And it has no title, and names
// of two lines are two texts.
package plot

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"graftslip/records"
)

// Chart is what is drawn.
type Chart struct {
	Title string
	Notes []string // below the title, a line or more each
	Rows  []Row    // from top to bottom; MostRows at most
	// Level is that of the intervals, 0-1, as the key says it.
	Level float64
}

// Row is a group.
type Row struct {
	Name             string
	Low, Share, High float64   // 0-1
	Expected         *Expected // nil: nothing is drawn
	Grafts           int
}

// Expected is what is expected of the next batch of a group: the mean, and a range
// that holds nine of ten; 0-1.
type Expected struct{ Low, Mean, High float64 }

// MostRows is how many groups a chart holds. Our own choice: more are two pages
// high, and nobody compares them by eye.
const MostRows = 60

// Fit returns the rows that a chart holds, in their order, and how many are left
// out: those with the fewest grafts, the lowest first where they have as many.
func Fit(rows []Row) (kept []Row, left int) {
	if len(rows) <= MostRows {
		return rows, 0
	}
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return -cmp.Compare(rows[a].Grafts, rows[b].Grafts) })
	order = order[:MostRows]
	slices.Sort(order)
	for _, at := range order {
		kept = append(kept, rows[at])
	}
	return kept, len(rows) - MostRows
}

// SVG writes the chart as lines and letters. Letters that its font lacks are
// left to whoever shows it.
func (c Chart) SVG(out io.Writer) error {
	l, err := c.layout()
	if err != nil {
		return err
	}
	p := newVectorPaper(l.letters, l.width, l.height, c.Title)
	c.draw(l, p)
	_, err = out.Write(p.end())
	return err
}

// PNG writes the chart as a picture of 200 dots an inch. The error has advice when a
// name has letters that cannot be drawn.
func (c Chart) PNG(out io.Writer) error {
	l, err := c.layout()
	if err != nil {
		return err
	}
	for _, text := range c.texts() {
		if lacks := l.letters.lacks(text); lacks != 0 {
			return &records.Problem{
				Text:   fmt.Sprintf("the plot cannot be drawn as PNG: the font has no letter %q, as in %q", lacks, text),
				Advice: "name a file that ends in .svg: what shows it has letters of its own",
			}
		}
	}
	p := newDotPaper(l.letters, l.width, l.height)
	c.draw(l, p)
	return p.write(out)
}

func (c Chart) texts() []string {
	all := append([]string{c.Title}, c.Notes...)
	for _, row := range c.Rows {
		all = append(all, row.Name)
	}
	return all
}
