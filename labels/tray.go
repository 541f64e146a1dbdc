package labels

import (
	"errors"
	"fmt"
	"slices"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// The module of a card's symbol beyond which text gains more than the symbol,
// in mm. Cards are read at arm's length; a record, which has more modules and
// would crowd out the names, from nearer by.
const (
	goodCardModule   = 0.8
	goodRecordModule = 0.6
)

// Largest sizes of text on a tray card, in points.
const (
	largestCardText = 30.0
	largestCardName = 22.0
	largestCardInfo = 11.0
)

// The pen table of a tray card, in mm.
const (
	penHead      = 6.0
	leastPenRow  = 7.5 // room for a pencil in a wet hand
	largestPen   = 10.0
	leastPenRows = 3
	penLine      = 0.25
	penText      = 7.5 // points, its largest
	penInset     = 1.0
	cardGap      = 2.5
)

// TrayCards are the tray cards of one batch.
type TrayCards struct {
	batch   records.Batch
	options Options
	pair    []paragraph // scion and rootstock, equal on all cards
	about   []paragraph // source, dates and note, equal on all cards
	heading arrangement
	info    block
	infoBox layouts.Rect
	table   layouts.Rect

	penColumns [5]float64 // where the columns of the table begin, mm from its left
	penText    float64    // points
}

// DesignTray lays out the tray card of a batch: names, tray and code beside the
// symbol, then where the grafts come from and when to look at them, then a
// table for the pen. Errors are those of DesignStem, with advice where
// the code alone as symbol would do.
func DesignTray(batch records.Batch, o Options) (*TrayCards, error) {
	if err := checkSymbolText(batch, o); err != nil {
		return nil, err
	}
	d, err := designTray(batch, o)
	if err != nil {
		return nil, explained(err, batch, o)
	}
	return d, nil
}

func designTray(batch records.Batch, o Options) (*TrayCards, error) {
	d := &TrayCards{batch: batch, options: o}
	errs := checkText(o.Face, batch.Row, cells(batch.Draft)...)
	if err := errors.Join(append(errs, o.Check())...); err != nil {
		return nil, err
	}
	d.pair, d.about = pair(o.Face, batch, largestCardText, largestCardName), d.aboutParagraphs()
	trays, err := d.trayCodes()
	if err != nil {
		return nil, &Error{Where: Where{batch.Row, "tray"}, Err: err}
	}
	candidates, err := largestSymbols(o.Symbols, d.symbolShapes(trays))
	if err != nil {
		return nil, &Error{Where: Where{batch.Row, labelColumn}, Err: err}
	}
	heading := d.widestHeading(trays)
	safe, module := o.Stock.Safe(), goodCardModule
	if o.CardSymbol == CardRecord {
		module = goodRecordModule
	}
	head := area{
		Size: layouts.Size{Width: safe.Width, Height: safe.Height * 0.36}, row: batch.Row, on: o.Stock.Name,
		right: true, module: module, mostText: largestCardText,
	}
	if d.heading, err = arrange(heading, head, candidates, o.DPI); err != nil {
		return nil, err
	}
	used := max(d.heading.symbolY+d.heading.fitted.Height, d.heading.text.Y+d.heading.block.height)
	_, rest := safe.CutTop(used, cardGap)

	about := measured(o.Face, d.about)
	room := layouts.Size{Width: rest.Width, Height: safe.Height * 0.3}
	var fits bool
	if d.info, fits = fit(about, room, largestCardInfo); !fits {
		return nil, misfit(batch.Row, about, o.Stock.Name, room)
	}
	d.infoBox, d.table = rest.CutTop(d.info.height, cardGap)
	d.ruleColumns()
	const least = penHead + leastPenRows*leastPenRow + penLine
	if d.table.Height < least || d.penText < LeastSize {
		return nil, &Error{Where: Where{batch.Row, labelColumn}, Err: fmt.Errorf(
			"on %s the table to write in has only %s × %s mm; it needs a height of %s mm and room for its headings",
			o.Stock.Name, layouts.FormatTenth(d.table.Width), layouts.FormatTenth(d.table.Height), layouts.FormatNumber(least))}
	}
	return d, nil
}

// trayCodes are the codes of all trays.
func (d *TrayCards) trayCodes() ([]codes.Code, error) {
	trays := make([]codes.Code, d.batch.Trays())
	for i := range trays {
		var err error
		if trays[i], err = d.batch.Code.Tray(i + 1); err != nil {
			return nil, err
		}
	}
	return trays, nil
}

// For returns the design for a batch that differs in nothing but its code.
func (d *TrayCards) For(code codes.Code) *TrayCards {
	other := *d
	other.batch.Code = code
	return &other
}

// widestHeading is a heading that reaches as far as that of every tray.
func (d *TrayCards) widestHeading(trays []codes.Code) []paragraph {
	var widest []paragraph
	for _, code := range trays {
		heading := measured(d.options.Face, d.headingParagraphs(code))
		if widest == nil {
			widest = heading
		}
		widest = widened(widest, heading)
	}
	return widest
}

// Card fills in the card of one tray.
func (d *TrayCards) Card(tray int) (Design, error) {
	var design Design
	code, err := d.batch.Code.Tray(tray)
	if err != nil {
		return Design{}, err
	}
	head := canvas{&design, d.options.Face, layouts.Placed{Rect: d.options.Stock.Safe()}}
	whole := canvas{&design, d.options.Face, layouts.Placed{Rect: d.options.Stock.Face().Rect()}}
	err = errors.Join(
		d.heading.draw(head, d.headingParagraphs(code), d.says(code)),
		d.info.draw(whole, d.about, d.infoBox, false))
	if err != nil {
		return Design{}, fmt.Errorf("card %v: %w", code, err)
	}
	d.drawTable(whole)
	return design, nil
}

// Small is like StemLabels.Small.
func (d *TrayCards) Small() (module float64, small bool) {
	return d.heading.fitted.Module, d.heading.fitted.Small
}

func (d *TrayCards) headingParagraphs(code codes.Code) []paragraph {
	number, stems := TrayWords(d.batch, code.Number())
	return append(slices.Clone(d.pair),
		paragraph{ways: [][]string{{number + ", " + stems}, {number, stems}}, share: 0.6, most: largestCardName},
		codeParagraph(code, 0.55, largestCardName),
	)
}

func (d *TrayCards) aboutParagraphs() []paragraph {
	line := func(column, text string) paragraph {
		return breakable(d.options.Face, 4, paragraph{column: column, ways: [][]string{{text}}, share: 1, most: largestCardInfo})
	}
	grafted, column := GraftedWords(d.options.Dates.Format(d.batch.Date), d.batch), ""
	if d.batch.Grafter != "" {
		column = "grafter"
	}
	info := []paragraph{line(column, grafted)}
	if d.batch.Source != "" {
		info = append(info, line("source", "Source: "+d.batch.Source))
	}
	look := line("", LookWords(d.options.Dates.Format(d.options.Calendar.LookFrom(d.batch))))
	look.weight = Bold
	info = append(info, look)
	if d.batch.Note != "" {
		info = append(info, line("note", "Note: "+d.batch.Note))
	}
	if d.options.Nursery != "" {
		info = append(info, line(nurseryColumn, d.options.Nursery))
	}
	return info
}

// ruleColumns divides the table, with more room for the date, and sets the
// heads as large as the narrowest column allows.
func (d *TrayCards) ruleColumns() {
	shares := [5]float64{1.3, 1, 1.05, 1, 1.05}
	sum := 0.0
	for _, share := range shares {
		sum += share
	}
	width := d.table.Width - penLine
	d.penText = penText
	x := 0.0
	for i, word := range penHeads() {
		column := width * shares[i] / sum
		perPoint := d.options.Face.measure(word, 1, Regular).width()
		d.penText = min(d.penText, (column-2*penInset)/perPoint)
		d.penColumns[i] = x
		x += column
	}
}

// drawTable rules the pen table: a head with the words, and as many rows as
// the card holds.
func (d *TrayCards) drawTable(c canvas) {
	box := d.table.Inset(penLine/2, penLine/2, penLine/2, penLine/2)
	rows := max(leastPenRows, int((box.Height-penHead)/leastPenRow))
	rowHeight := min(largestPen, (box.Height-penHead)/float64(rows))
	bottom := box.Y + penHead + float64(rows)*rowHeight
	for i := range rows + 1 {
		y := box.Y + penHead + float64(i)*rowHeight
		c.line(box.X, y, box.X+box.Width, y, penLine)
	}
	c.line(box.X, box.Y, box.X+box.Width, box.Y, penLine)
	baseline := box.Y + penHead/2 + leastAscent*d.penText*millimetresPerPoint/2
	for i, word := range penHeads() {
		x := box.X + d.penColumns[i]
		c.line(x, box.Y, x, bottom, penLine)
		c.text(word, d.penText, Regular, x+penInset, baseline)
	}
	c.line(box.X+box.Width, box.Y, box.X+box.Width, bottom, penLine)
}
