package sheet

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// The longest row of a CSV file, in bytes.
const (
	maxRow     = 256 << 10
	maxRowText = "256 KiB"
)

// lines gives the rows of a CSV file one after the other.
type lines struct {
	text   []byte // with line feeds between its lines
	source *lineSource
	csv    *csv.Reader
	number int // of the row read last, as a spreadsheet program counts
	lost   bool
}

func openText(data []byte, encoding string) (*Sheet, *Fault) {
	text, hints, fault := plainText(data, encoding)
	if fault != nil {
		return nil, fault
	}
	text, comma := separator(text)
	source := &lineSource{rest: text}
	return &Sheet{&lines{text: text, source: source, csv: newCSV(source, comma)}, func() []string { return hints }}, nil
}

func newCSV(r io.Reader, comma rune) *csv.Reader {
	reader := csv.NewReader(r)
	reader.Comma = comma
	reader.FieldsPerRecord = -1
	// With tabs, an empty cell would be taken for white space.
	reader.TrimLeadingSpace = comma != '\t'
	return reader
}

// next returns the next row. A row with a misplaced quotation mark is read
// leniently, with a fault of the cell that has the mark, unless the rows after it
// are lost too.
func (l *lines) next() (Row, error) {
	if l.lost {
		return Row{}, io.EOF
	}
	start := l.csv.InputOffset()
	l.source.left = maxRow
	texts, err := l.csv.Read()
	if errors.Is(err, io.EOF) {
		return Row{}, io.EOF
	}
	line := l.text[start:l.csv.InputOffset()]
	l.number++
	for len(line) > 0 && line[0] == '\n' { // the CSV reader skips lines of nothing; a spreadsheet program counts them
		line = line[1:]
		l.number++
	}
	if l.source.exceeded {
		return Row{}, &Fault{fmt.Sprintf("more than %s in row %d", maxRowText, l.number), `a smaller row: close each quotation mark (") that begins a cell`}
	}
	row := Row{Number: l.number}
	bad := len(texts)
	if errors.Is(err, csv.ErrBareQuote) {
		lenient := newCSV(bytes.NewReader(line), l.csv.Comma)
		lenient.LazyQuotes = true
		texts, _ = lenient.Read() // lenient reading of a line that is there has no error
	}
	if len(texts) > MaxColumns {
		return Row{}, tooManyColumns(l.number)
	}
	for _, text := range texts {
		row.Cells = append(row.Cells, Cell{Text: text}.limited())
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

// lineSource gives a csv.Reader one line at a time. If a row has more than left bytes,
// it ends the file there: the reader would hold the row in memory several times.
type lineSource struct {
	rest     []byte
	left     int
	exceeded bool
}

func (s *lineSource) Read(p []byte) (int, error) {
	if s.left == 0 {
		s.exceeded = len(s.rest) > 0
		s.rest = nil
	}
	if len(s.rest) == 0 {
		return 0, io.EOF
	}
	n := min(len(p), len(s.rest), s.left)
	if end := bytes.IndexByte(s.rest[:n], '\n'); end >= 0 {
		n = end + 1
	}
	copy(p, s.rest[:n])
	s.rest = s.rest[n:]
	if n > 1 { // empty lines belong to no row
		s.left -= n
	}
	return n, nil
}

// separator returns what separates the cells of a row, and the text without a first
// line that names it, such as "sep=;". Otherwise it is the comma, semicolon or tab that
// most of the first lines have twice or more, outside quotation marks: titles and notes
// have some too, but not in every line.
func separator(text []byte) ([]byte, rune) {
	first, rest, _ := bytes.Cut(text, []byte("\n"))
	if name, found := bytes.CutPrefix(bytes.ToLower(first), []byte("sep=")); found && len(name) == 1 && name[0] != '"' {
		return rest, rune(name[0])
	}
	const candidates, firstLines = ",;\t", 20
	var inLine, inAll, lines [len(candidates)]int
	quoted, left := false, firstLines
	endLine := func() {
		for i, count := range inLine {
			inAll[i] += count
			lines[i] += min(count/2, 1)
		}
		inLine, left = [len(candidates)]int{}, left-1
	}
	for _, b := range text {
		switch candidate := strings.IndexByte(candidates, b); {
		case b == '"':
			quoted = !quoted
		case quoted:
		case candidate >= 0:
			inLine[candidate]++
		case b == '\n' && inLine != [len(candidates)]int{}:
			endLine()
		}
		if left == 0 {
			break
		}
	}
	endLine()
	best := 0
	for i := range candidates {
		if c := cmp.Or(cmp.Compare(lines[i], lines[best]), cmp.Compare(inAll[i], inAll[best])); c > 0 {
			best = i
		}
	}
	return text, rune(candidates[best])
}
