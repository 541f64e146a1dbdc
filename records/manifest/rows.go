package manifest

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
)

// saveAs is what to do about a file that is not UTF-8 text.
const saveAs = `save the spreadsheet as "CSV UTF-8"`

// plainText returns the text of a file without its byte order mark and with
// line feeds between its lines, or why the file is no text.
func plainText(data []byte) ([]byte, *fault) {
	switch {
	case len(data) > MaxBytes:
		return nil, &fault{"more than " + maxBytesText, "a file of at most " + maxBytesText}
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return nil, &fault{"a workbook (such as .xlsx or .ods)", "a CSV file: " + saveAs}
	case bytes.HasPrefix(data, []byte("\xd0\xcf\x11\xe0")):
		return nil, &fault{"an old workbook (such as .xls)", "a CSV file: " + saveAs}
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")), looksUTF16(data):
		return nil, &fault{"text in UTF-16", "text in UTF-8: " + saveAs}
	case bytes.IndexByte(data, 0) >= 0:
		return nil, &fault{"a binary file", "a CSV file: " + saveAs}
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

// rows gives the rows of a spreadsheet one after the other.
type rows struct {
	text    []byte
	csv     *csv.Reader
	number  int  // of the row read last, as a spreadsheet counts
	badCell int  // after an error of next: index of the cell at fault
	lost    bool // after an error of next: it is not known where the next row begins
}

func newRows(text []byte) *rows {
	return &rows{text: text, csv: newCSV(text, delimiter(text))}
}

func newCSV(text []byte, comma rune) *csv.Reader {
	reader := csv.NewReader(bytes.NewReader(text))
	reader.Comma = comma
	reader.FieldsPerRecord = -1
	// With tabs, an empty cell would be taken for white space.
	reader.TrimLeadingSpace = comma != '\t'
	return reader
}

// next returns the cells of the next row, and io.EOF after the last. A row
// with a misplaced quotation mark comes back with an error; badCell says where
// the mark is. The row's cells are then read leniently, unless the rows after
// it are lost too.
func (r *rows) next() ([]string, error) {
	start := r.csv.InputOffset()
	cells, err := r.csv.Read()
	if errors.Is(err, io.EOF) {
		return nil, io.EOF
	}
	line := r.text[start:r.csv.InputOffset()]
	r.number++
	for {
		// The CSV reader skips lines of nothing; a spreadsheet counts them.
		rest, found := bytes.CutPrefix(bytes.TrimPrefix(line, []byte("\r")), []byte("\n"))
		if !found {
			break
		}
		line = rest
		r.number++
	}
	if err == nil {
		return cells, nil
	}
	r.badCell = len(cells)
	r.lost = !errors.Is(err, csv.ErrBareQuote)
	if !r.lost {
		lenient := newCSV(line, r.csv.Comma)
		lenient.LazyQuotes = true
		cells, _ = lenient.Read() // lenient reading of a line that is there has no error
	}
	return cells, err
}

// quoteFault returns what is wrong with the cell at fault after next has
// returned these cells with an error.
func (r *rows) quoteFault(cells []string) *fault {
	if r.lost {
		return &fault{
			`a cell that begins with a quotation mark (") and does not end with one`,
			"a mark at both ends of the cell and each mark inside doubled; the rows below were not read",
		}
	}
	return &fault{quote(cells[r.badCell]), `quotation marks round a cell that contains one ("), and the inner one doubled`}
}

func isEmpty(cell string) bool { return strings.TrimSpace(cell) == "" }

func allEmpty(cells []string) bool {
	for _, cell := range cells {
		if !isEmpty(cell) {
			return false
		}
	}
	return true
}
