package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
)

// saveAs is what to do about a file that is not UTF-8 text.
const saveAs = `save the spreadsheet as "CSV UTF-8"`

// plainText returns the text of a file without its byte order mark and with
// line feeds between its lines, or why the file is no text.
func plainText(data []byte) ([]byte, *Fault) {
	switch {
	case len(data) > MaxBytes:
		return nil, &Fault{"more than " + maxBytesText, "a file of at most " + maxBytesText}
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return nil, &Fault{"a workbook (such as .xlsx or .ods)", "a CSV file: " + saveAs}
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return nil, &Fault{"an old workbook (such as .xls)", "a CSV file: " + saveAs}
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")), looksUTF16(data):
		return nil, &Fault{"text in UTF-16", "text in UTF-8: " + saveAs}
	case bytes.IndexByte(data, 0) >= 0:
		return nil, &Fault{"a binary file", "a CSV file: " + saveAs}
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if bytes.IndexByte(data, '\n') < 0 {
		// Old Macintosh programs end lines with a carriage return alone.
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	return data, nil
}

// looksUTF16 reports whether the file begins like Western text in UTF-16
// without a byte order mark: every second byte of its beginning is zero.
func looksUTF16(data []byte) bool {
	start := data[:min(len(data), 64)&^1]
	var zeros [2]int
	for i, b := range start {
		if b == 0 {
			zeros[i%2]++
		}
	}
	half := len(start) / 2
	return half > 0 && (zeros[0] == half && zeros[1] == 0 || zeros[1] == half && zeros[0] == 0)
}

// delimiter returns the one of comma, semicolon and tab that stands most often
// outside quotation marks in the first line that is not empty; the comma when
// none does.
func delimiter(text []byte) rune {
	var commas, semicolons, tabs int
	quoted, begun := false, false
	for _, b := range text {
		switch {
		case b == '"':
			quoted = !quoted
		case quoted:
		case b == ',':
			commas++
		case b == ';':
			semicolons++
		case b == '\t':
			tabs++
		}
		begun = begun || b != '\n' && b != '\r'
		if begun && b == '\n' && !quoted {
			break
		}
	}
	switch {
	case tabs > commas && tabs > semicolons:
		return '\t'
	case semicolons > commas:
		return ';'
	}
	return ','
}

// lines gives the rows of a CSV file one after the other.
type lines struct {
	text   []byte
	csv    *csv.Reader
	number int // of the row read last, as a spreadsheet counts
	lost   bool
}

func newLines(text []byte) *lines {
	return &lines{text: text, csv: newCSV(text, delimiter(text))}
}

func newCSV(text []byte, comma rune) *csv.Reader {
	reader := csv.NewReader(bytes.NewReader(text))
	reader.Comma = comma
	reader.FieldsPerRecord = -1
	// With tabs, an empty cell would be taken for white space.
	reader.TrimLeadingSpace = comma != '\t'
	return reader
}

// next returns the next row, and io.EOF after the last. A row with a misplaced
// quotation mark is read leniently, with a fault of the cell that has the mark,
// unless the rows after it are lost too.
func (l *lines) next() (Row, error) {
	if l.lost {
		return Row{}, io.EOF
	}
	start := l.csv.InputOffset()
	texts, err := l.csv.Read()
	if errors.Is(err, io.EOF) {
		return Row{}, io.EOF
	}
	line := l.text[start:l.csv.InputOffset()]
	l.number++
	for {
		// The CSV reader skips lines of nothing; a spreadsheet counts them.
		rest, found := bytes.CutPrefix(bytes.TrimPrefix(line, []byte("\r")), []byte("\n"))
		if !found {
			break
		}
		line = rest
		l.number++
	}
	row := Row{Number: l.number}
	bad := len(texts)
	if errors.Is(err, csv.ErrBareQuote) {
		lenient := newCSV(line, l.csv.Comma)
		lenient.LazyQuotes = true
		texts, _ = lenient.Read() // lenient reading of a line that is there has no error
	}
	for _, text := range texts {
		row.Cells = append(row.Cells, Cell{Text: text})
	}
	switch {
	case err == nil:
	case errors.Is(err, csv.ErrBareQuote):
		row.Cells[bad].Fault = &Fault{Expected: `quotation marks round a cell that contains one ("), and the inner one doubled`}
	default:
		row.Lost, l.lost = true, true
		row.Cells = append(row.Cells, Cell{Fault: &Fault{
			`a cell that begins with a quotation mark (") and does not end with one`,
			"a mark at both ends of the cell and each mark inside doubled; the rows below were not read",
		}})
	}
	return row, nil
}
