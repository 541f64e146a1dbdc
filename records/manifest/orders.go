package manifest

import (
	"io"
	"strconv"
	"strings"
	"time"

	"graftslip/records"
)

const (
	expectedShare = "a chance such as 90% or 0.9, from 1% to 99.9%"

	// mostYears is how far ahead an order may reach: more is a slip of the pen.
	mostYears = 3
)

// Orders is what a file of orders holds.
type Orders struct {
	Orders []records.Order // the rows without a fault, in their order
	// Hints are those of a Manifest.
	Hints []string
}

// ReadOrders reads orders, a spreadsheet as a manifest is. Its columns variety,
// stock and wanted must be there. Where wanted it has by, sure and grafts, and
// source, tray, stem, grafter, label wrap and note as a manifest has. What the cells
// may hold beside what a manifest's may:
//
//	wanted   finished plants: a whole number, 1-8999
//	by       the day by which they must be finished, after today
//	sure     a chance as ParseShare reads it
//	grafts   how many to make, whatever the chance: a whole number, 1-8999
//
// It needs Options.Today. Errors are those of Read.
func ReadOrders(name string, r io.Reader, options Options) (Orders, error) {
	orders := &orders{today: day(options.Today)}
	reading, readable, err := readFile(name, r, orders, options)
	if err != nil {
		return Orders{}, err
	}
	var read Orders
	if readable {
		var rows []*records.Draft
		for i := range orders.kept {
			rows = append(rows, &orders.kept[i].Draft)
		}
		read = Orders{Orders: orders.kept, Hints: append(reading.hints(), options.Names.Settle(rows)...)}
	}
	return read, reading.err()
}

// orders is the form of a file of orders.
type orders struct {
	today time.Time // midnight UTC
	order records.Order
	kept  []records.Order
}

func (o *orders) columns() []string {
	return append([]string{columnWanted, columnBy, columnSure}, draftColumns()...)
}

func (o *orders) needed() []string { return []string{columnVariety, columnStock, columnWanted} }

func (o *orders) wanted() (columns, rows string) {
	return "variety, stock and wanted", "a row for each order"
}

func (o *orders) begin(row int) { o.order = records.Order{Draft: records.Draft{Row: row}} }

func (o *orders) cell(column string, c cell) (f *fault) {
	empty := c.IsEmpty()
	switch {
	case column == columnWanted:
		o.order.Wanted, f = c.count()
	case column == columnBy && !empty:
		o.order.By, f = o.by(c)
	case column == columnSure && !empty:
		o.order.Sure, f = c.share()
	case column == columnGrafts && empty, column == columnBy, column == columnSure:
	default:
		f = setCell(&o.order.Draft, column, c)
	}
	return f
}

func (o *orders) by(c cell) (time.Time, *fault) {
	by, f := c.date()
	switch {
	case f != nil:
	case !by.After(o.today):
		f = c.wrong("a day after today, " + o.today.Format(time.DateOnly))
	case by.After(o.today.AddDate(mostYears, 0, 0)):
		f = c.wrong("a day at most three years ahead")
	}
	return by, f
}

// end looks at the trays where the row says how many grafts are to be made.
func (o *orders) end() (column string, f *fault) { return columnTray, trayFault(o.order.Draft) }

func (o *orders) keep() { o.kept = append(o.kept, o.order) }

// share reads a chance; the percent sign may be in the heading. A percent cell of a
// workbook holds a fraction.
func (c cell) share() (float64, *fault) {
	text := tidy(c.Text)
	share, ok := ParseShare(text)
	if !ok && c.unit == "%" {
		share, ok = ParseShare(text + "%")
		ok = ok && share > 0.01
	}
	if !ok {
		return 0, c.wrong(expectedShare)
	}
	return share, nil
}

// ParseShare reads a share from 0.01 to 0.999, written as a fraction (0.9, or
// with a decimal comma) or in percent (90%, 90 %). A bare 90 is refused.
func ParseShare(text string) (float64, bool) {
	const least, most, slack, longest = 0.01, 0.999, 1e-9, 8
	text, percent := strings.CutSuffix(tidy(text), "%")
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	for _, r := range text {
		if r != '.' && (r < '0' || r > '9') { // no signs, exponents and words
			return 0, false
		}
	}
	share, err := strconv.ParseFloat(text, 64)
	if percent {
		share /= 100
	}
	return share, err == nil && len(text) <= longest && share >= least-slack && share <= most+slack
}
