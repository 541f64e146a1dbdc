package sheet

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// numberFormat is how a workbook shows a number, as far as it matters.
type numberFormat struct {
	date   bool // as a date
	digits int  // the least digits, filled with leading zeros
}

// readFormats reads the number format of each style of cells.
func (w *workbook) readFormats(name string) *Fault {
	var styles struct {
		Codes []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if fault := w.decode(name, &styles); fault != nil {
		return fault
	}
	formats := map[int]numberFormat{}
	for _, f := range styles.Codes {
		formats[f.ID] = parseFormat(f.Code)
	}
	for _, cell := range styles.Cells {
		format, found := formats[cell.Format]
		if !found {
			format.date = builtInDate(cell.Format)
		}
		w.formats = append(w.formats, format)
	}
	return nil
}

// builtInDate reports whether a number format without a code in the file shows a date:
// ECMA-376-1:2016 18.8.30 (memory). Those from 27 on are of East Asian editions; the
// missing ones show only a time of day.
func builtInDate(id int) bool {
	return id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 31 || id == 36 || id >= 50 && id <= 54 || id == 57 || id == 58
}

var (
	elapsed = regexp.MustCompile(`\[(h+|m+|s+)\]`)             // a time that may have more than 24 hours
	literal = regexp.MustCompile(`"[^"]*"|[\\_*].|\[[^\]]*\]`) // [] has a colour, currency or language
)

// parseFormat reads the code of a number format, such as dd/mm/yyyy;@. A file has
// the letters of the English edition, whatever the language of the program.
func parseFormat(code string) (format numberFormat) {
	code = strings.ToLower(code)
	if elapsed.MatchString(code) {
		return format
	}
	plain, _, _ := strings.Cut(literal.ReplaceAllString(code, ""), ";")
	month := strings.Contains(plain, "m") && !strings.ContainsAny(plain, "hs") // else minutes
	format.date = month || strings.ContainsAny(plain, "yd")
	if strings.Trim(plain, "0") == "" {
		format.digits = len(plain)
	}
	return format
}

// numberCell returns the cell for a number.
func numberCell(number float64, format numberFormat, from1904 bool) Cell {
	if date, ok := dateText(number, from1904); ok && format.date {
		return Cell{Text: date, Kind: Date}
	}
	const exact = 1e15 // spreadsheet programs keep 15 digits of a number
	cell := Cell{Text: strconv.FormatFloat(number, 'f', -1, 64), Kind: Number}
	if math.Abs(number) >= exact {
		cell.Fault = &Fault{Expected: "at most 15 digits, as more are lost in a number: format the cell as text and retype it"}
	}
	if missing := format.digits - len(cell.Text); missing > 0 && number == math.Trunc(number) && number >= 0 {
		cell.Text = strings.Repeat("0", missing) + cell.Text
	}
	return cell
}

// dateText returns the day that a number stands for, and the time of day unless it
// is midnight: ECMA-376-1:2016 18.17.4 (memory). It reports false where there is no
// such day.
func dateText(number float64, from1904 bool) (string, bool) {
	const first1904, last, secondsADay = 1462, 2958465, 24 * 60 * 60 // days: 1904-01-01 and 9999-12-31 from 1900
	if from1904 {
		number += first1904
	}
	if !(number >= 1 && number < last+1) {
		return "", false
	}
	if number < 61 { // the programs have a 29 February 1900
		number++
	}
	epoch := time.Date(1899, time.December, 30, 0, 0, 0, 0, time.UTC)
	at := time.Unix(epoch.Unix()+int64(math.Round(number*secondsADay)), 0).UTC()
	return strings.TrimSuffix(at.Format(time.DateTime), " 00:00:00"), true
}
