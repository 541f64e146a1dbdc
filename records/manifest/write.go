package manifest

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"time"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// Write writes drafts as a manifest (CSV) that Read reads.
func Write(w io.Writer, drafts []records.Draft) error {
	rows := [][]string{{columnDate, columnVariety, columnStock, columnGrafts, columnSource, columnTray, columnStem,
		columnGrafter, columnWrap, columnNote}}
	for _, d := range drafts {
		var tray, stem, wrap string
		if d.TraySize > 0 {
			tray = strconv.Itoa(d.TraySize)
		}
		if d.Stem > 0 {
			stem = strings.ReplaceAll(layouts.FormatLength(d.Stem), " ", "")
		}
		if d.Wrap != 0 {
			wrap = d.Wrap.String()
		}
		rows = append(rows, []string{d.Date.Format(time.DateOnly), d.Variety, d.Stock, strconv.Itoa(d.Grafts), d.Source, tray, stem,
			d.Grafter, wrap, d.Note})
	}
	return writeCSV(w, rows)
}

// writeCSV writes rows. The byte order mark at their beginning marks them as UTF-8
// for spreadsheet programs.
func writeCSV(w io.Writer, rows [][]string) error {
	const byteOrderMark = "\ufeff"
	if _, err := io.WriteString(w, byteOrderMark); err != nil {
		return err
	}
	return sheet.WriteCSV(csv.NewWriter(w), rows)
}
