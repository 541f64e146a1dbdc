package manifest

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"
)

// exampleVariety is the variety of a template's example row. Any row with it is refused.
const exampleVariety = "EXAMPLE, delete this row"

// Template is an empty manifest, or an empty file of orders, with an example row.
type Template struct {
	Orders bool
	Today  time.Time // the example's dates are later
}

// templateColumn is a column of a template.
type templateColumn struct {
	heading, note string
	example       any     // text, a whole number or a date
	width         float64 // in characters
}

func (t Template) columns() []templateColumn {
	const wide, usual, narrow = 26, 12, 9
	pair := []templateColumn{
		{columnVariety, "Needed. The name of the scion's variety, without quotation marks.", exampleVariety, wide},
		{columnStock, "Needed. The name of the rootstock.", "Marlpit Hedge", wide},
	}
	rest := []templateColumn{
		{columnSource, "Where the scions come from. Another source makes another batch.", "House bed 2", wide},
		{columnTray, "How many grafts go into a tray. Leave it empty to put all in one tray.", 30, narrow},
		{columnStem, "The diameter of the stem at the label, with its unit: 8mm, 0.3in or 5/16in.", "7mm", narrow},
		{columnGrafter, "The name or initials of the grafter.", "IV", narrow},
		{columnWrap, "How the label goes round the stem: flag, loop or band; or flat, on a stake or pot.", "flag", usual},
		{columnNote, "A note for the tray card.", "", wide},
	}
	if !t.Orders {
		columns := []templateColumn{{columnDate, "The day of grafting. Leave the whole column empty for today.", day(t.Today).AddDate(0, 0, 1), usual}}
		columns = append(columns, pair...)
		columns = append(columns, templateColumn{columnGrafts, "Needed. How many grafts the batch has, a whole number.", 60, narrow})
		return append(columns, rest...)
	}
	columns := append(pair,
		templateColumn{columnWanted, "Needed. How many finished plants you want, a whole number.", 100, narrow},
		templateColumn{columnBy, "The day by which the plants must be finished.", day(t.Today).AddDate(0, 4, 0), usual},
		templateColumn{columnSure, "How sure you want to be of enough plants, from 1% to 99.9%.", "90%", narrow},
		templateColumn{columnGrafts, "How many grafts to make. Leave it empty to let the plan find the number.", "", narrow})
	return append(columns, rest...)
}

// WriteCSV writes the headings and the example as a CSV file.
func (t Template) WriteCSV(w io.Writer) error {
	var headings, example []string
	for _, column := range t.columns() {
		headings = append(headings, column.heading)
		if date, isDate := column.example.(time.Time); isDate {
			column.example = date.Format(time.DateOnly)
		}
		example = append(example, fmt.Sprint(column.example))
	}
	return writeCSV(w, [][]string{headings, example})
}

// WriteWorkbook writes a workbook (.xlsx). Its headings have notes and stay in sight.
func (t Template) WriteWorkbook(w io.Writer) error {
	const tab = "Sheet1" // of a new file
	file := excelize.NewFile()
	dateForm := "yyyy-mm-dd"
	var errs []error
	style := func(s excelize.Style) int {
		id, err := file.NewStyle(&s)
		errs = append(errs, err)
		return id
	}
	bold := style(excelize.Style{Font: &excelize.Font{Bold: true}})
	slanted := style(excelize.Style{Font: &excelize.Font{Italic: true}})
	dates := style(excelize.Style{CustomNumFmt: &dateForm})
	slantedDates := style(excelize.Style{Font: &excelize.Font{Italic: true}, CustomNumFmt: &dateForm})
	for i, column := range t.columns() {
		letter := string(rune('A' + i))
		top, below, slanted := letter+"1", letter+"2", slanted
		if _, isDate := column.example.(time.Time); isDate {
			slanted = slantedDates
			errs = append(errs, file.SetColStyle(tab, letter, dates))
		}
		errs = append(errs,
			file.SetColWidth(tab, letter, letter, column.width),
			file.SetCellValue(tab, top, column.heading), file.SetCellStyle(tab, top, top, bold),
			file.SetCellValue(tab, below, column.example), file.SetCellStyle(tab, below, below, slanted),
			file.AddComment(tab, excelize.Comment{Cell: top, Author: "graftslip", Width: 220, Height: 60,
				Paragraph: []excelize.RichTextRun{{Text: column.note}}}))
	}
	landscape, fit, any := "landscape", true, 0
	errs = append(errs,
		file.SetPageLayout(tab, &excelize.PageLayoutOptions{Orientation: &landscape, FitToHeight: &any}),
		file.SetSheetProps(tab, &excelize.SheetPropsOptions{FitToPage: &fit}),
		file.SetPanes(tab, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}),
		file.SetSheetName(tab, map[bool]string{false: "Manifest", true: "Orders"}[t.Orders]),
		file.Write(w), file.Close())
	return errors.Join(errs...)
}
