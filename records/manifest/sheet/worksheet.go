package sheet

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// maxRows is the most rows of a sheet in spreadsheet programs.
const maxRows = 1 << 20

// worksheet gives the rows of a tab one after the other.
type worksheet struct {
	*workbook
	name   string // of the part
	file   io.ReadCloser
	xml    *xml.Decoder
	number int // of the row read last
	cells  []Cell
	length int // of all cells' texts, in bytes: many cells may refer to one long text

	finished bool
	hidden   []int // the numbers of rows that are hidden and not empty
}

func (s *worksheet) open() (fault *Fault) {
	s.file, s.xml, fault = s.workbook.open(s.name, maxStream)
	return fault
}

// hints reports rows that a person may not see but that were read.
func (s *worksheet) hints() []string {
	switch len(s.hidden) {
	case 0:
		return nil
	case 1:
		return []string{fmt.Sprintf("row %d is hidden or filtered out; it was read like the others", s.hidden[0])}
	}
	return []string{fmt.Sprintf("%d rows are hidden or filtered out, the first is row %d; they were read like the others", len(s.hidden), s.hidden[0])}
}

func (s *worksheet) next() (Row, error) {
	for !s.finished {
		token, err := s.xml.Token()
		if err != nil {
			return Row{}, unreadable(s.name, err)
		}
		switch element := token.(type) {
		case xml.StartElement:
			if element.Name.Local == "row" {
				return s.row(element)
			}
		case xml.EndElement:
			if element.Name.Local == "sheetData" {
				return Row{}, s.finish()
			}
		}
	}
	return Row{}, io.EOF
}

// finish reads to the end of the part, where its checksum is checked, and returns
// io.EOF.
func (s *worksheet) finish() error {
	defer s.file.Close()
	if _, err := io.Copy(io.Discard, s.file); err != nil {
		return damaged(s.name)
	}
	s.finished = true
	return io.EOF
}

// row reads the rest of a row.
func (s *worksheet) row(start xml.StartElement) (Row, error) {
	number, hidden := s.number+1, false
	var err error
	for _, attribute := range start.Attr {
		switch attribute.Name.Local {
		case "r":
			number, err = strconv.Atoi(attribute.Value)
		case "hidden":
			hidden = attribute.Value == "1" || attribute.Value == "true"
		}
	}
	if err != nil || number <= s.number || number > maxRows {
		return Row{}, damaged(s.name)
	}
	s.number, s.cells = number, make([]Cell, 0, len(s.cells))
	for column := 0; ; column++ {
		token, err := s.xml.Token()
		if err != nil {
			return Row{}, unreadable(s.name, err)
		}
		switch element := token.(type) {
		case xml.StartElement:
			var cell cellElement
			if err := s.xml.DecodeElement(&cell, &element); err != nil {
				return Row{}, unreadable(s.name, err)
			}
			if column, err = s.put(cell, column); err != nil {
				return Row{}, err
			}
		case xml.EndElement:
			row := Row{Number: number, Cells: s.cells}
			if hidden && !row.IsEmpty() {
				s.hidden = append(s.hidden, number)
			}
			return row, nil
		default: // text between cells
			column--
		}
	}
}

// cellElement is a cell in the file: ECMA-376-1:2016 18.3.1.4
// (memory).
type cellElement struct {
	Place   string    `xml:"r,attr"` // such as C7; empty for the next
	Style   int       `xml:"s,attr"`
	Type    string    `xml:"t,attr"`
	Value   *string   `xml:"v"`
	Text    richText  `xml:"is"`
	Formula *struct{} `xml:"f"`
}

// put puts a cell into its column and returns the column: the next, or a later one that
// the cell names. The columns between are empty.
func (s *worksheet) put(element cellElement, next int) (int, error) {
	column := next
	if element.Place != "" {
		column = columnOf(element.Place)
	}
	if column < next {
		return 0, damaged(s.name)
	}
	cell, ok := s.read(element)
	switch {
	case !ok:
		return 0, damaged(s.name)
	case cell.IsEmpty():
		return column, nil // often a border or a colour, far out
	case column >= MaxColumns:
		return 0, tooManyColumns(s.number)
	}
	if s.length += len(cell.Text); s.length > maxStream {
		return 0, tooLarge(s.name)
	}
	for len(s.cells) < column {
		s.cells = append(s.cells, Cell{})
	}
	s.cells = append(s.cells, cell.limited())
	return column, nil
}

// columnOf returns the column index of a cell reference such as C7, or -1.
func columnOf(place string) int {
	const letters, most = 26, 1 << 20
	column := 0
	for i := 0; i < len(place) && place[i] >= 'A' && place[i] <= 'Z' && column < most; i++ {
		column = letters*column + int(place[i]-'A') + 1
	}
	return column - 1
}

// read reads a cell. It reports false for one that cannot be in a whole file.
func (w *workbook) read(element cellElement) (Cell, bool) {
	if element.Type == "inlineStr" {
		return Cell{Text: element.Text.String()}, true
	}
	if element.Value == nil || *element.Value == "" && element.Type != "str" {
		var cell Cell
		if element.Formula != nil {
			cell.Fault = &Fault{"a formula without its result", "a result: open the file in a spreadsheet program and save it"}
		}
		return cell, true
	}
	value := *element.Value
	switch element.Type {
	case "s":
		i, err := strconv.Atoi(value)
		if err != nil || i < 0 || i >= len(w.texts) {
			return Cell{}, false
		}
		return Cell{Text: w.texts[i]}, true
	case "str":
		return Cell{Text: unescape(value)}, true
	case "b":
		return Cell{Text: strings.NewReplacer("1", "TRUE", "0", "FALSE").Replace(value)}, true
	case "e":
		return Cell{Text: value, Fault: &Fault{Expected: "a value; the formula in this cell has failed"}}, true
	case "d":
		day, clock, _ := strings.Cut(value, "T")
		if strings.Trim(clock, "0:.Z") != "" {
			day += " " + clock
		}
		return Cell{Text: day, Kind: Date}, true
	}
	number, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return Cell{}, false
	}
	var format numberFormat
	if element.Style >= 0 && element.Style < len(w.formats) {
		format = w.formats[element.Style]
	}
	return numberCell(number, format, w.from1904), true
}

// tooManyColumns is the fault of a row that is wider than MaxColumns.
func tooManyColumns(row int) *Fault {
	return &Fault{fmt.Sprintf("more than %d columns in row %d", MaxColumns, row), "at most that many"}
}
