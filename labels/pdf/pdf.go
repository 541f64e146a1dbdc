// Package pdf puts slips on pages. It is the only package that knows the PDF
// library.
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"iter"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jung-kurt/gofpdf"

	"graftslip/labels"
	"graftslip/layouts"
)

const (
	pointsPerMillimetre = 72 / layouts.MillimetresPerInch
	outlineThickness    = 0.1 // mm
	family              = "slip"
)

// Document says what a PDF is and what it is printed on.
type Document struct {
	Title, Author, Language string    // language as in BCP 47
	Date                    time.Time // stands as the file's date, so that equal slips give equal bytes
	Stock                   layouts.Stock
	Face                    *labels.Typeface
	Dot                     float64 // size of a printer dot in mm; symbols begin on whole dots
	Outlines                bool    // draw the edges and creases of the labels, for a test on plain paper
}

// Write writes the slips in order, a sheet of the stock a page, and returns
// the number of pages. The bytes depend on the arguments alone. Errors are
// those of w and of the slips, and fonts that cannot be embedded.
func Write(w io.Writer, d Document, slips iter.Seq2[labels.Slip, error]) (pages int, err error) {
	var sheet *sheet
	if err := d.guarded(func() error { sheet = newSheet(d); return sheet.pdf.Error() }); err != nil {
		return 0, err
	}
	n := 0
	for slip, err := range slips {
		if err != nil {
			return 0, err
		}
		if n%d.Stock.Count() == 0 {
			sheet.pdf.AddPage()
		}
		sheet.draw(slip, d.Stock.Position(n))
		n++
	}
	var content bytes.Buffer
	if err := d.guarded(func() error { return sheet.pdf.Output(&content) }); err != nil {
		return 0, fmt.Errorf("writing a PDF: %w", err)
	}
	marked, err := withLanguage(content.Bytes(), d.Language)
	if err != nil {
		return 0, err
	}
	_, err = w.Write(marked)
	return d.Stock.Sheets(n), err
}

// guarded runs what reads the font: the library panics on some broken ones.
func (d Document) guarded(run func() error) (err error) {
	defer func() {
		if fault := recover(); fault != nil {
			err = fmt.Errorf("font %s cannot be embedded: %v", d.Face.Name, fault)
		}
	}()
	return run()
}

// plain makes a title of a text that may be no text, such as a file's name:
// the library takes neither broken UTF-8 nor characters beyond U+FFFF.
func plain(title string) string {
	return strings.Map(func(r rune) rune {
		if r > 0xFFFF || r == utf8.RuneError {
			return '?'
		}
		return r
	}, title)
}

// sheet draws on the current page in millimetres.
type sheet struct {
	Document
	pdf    *gofpdf.Fpdf
	height float64 // of the page, points
	buffer []byte
}

func newSheet(d Document) *sheet {
	size := gofpdf.SizeType{Wd: d.Stock.Paper.Width * pointsPerMillimetre, Ht: d.Stock.Paper.Height * pointsPerMillimetre}
	f := gofpdf.NewCustom(&gofpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: size})
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	f.SetCreationDate(d.Date)
	f.SetModificationDate(d.Date)
	f.SetTitle(plain(d.Title), true)
	f.SetAuthor(plain(d.Author), true)
	f.SetCreator("graftslip", false)
	f.AddUTF8FontFromBytes(family, "", d.Face.Data(labels.Regular))
	f.AddUTF8FontFromBytes(family, "B", d.Face.Data(labels.Bold))
	return &sheet{Document: d, pdf: f, height: size.Ht}
}

func (s *sheet) draw(slip labels.Slip, place layouts.Placed) {
	for _, text := range slip.Texts {
		s.text(text, place)
	}
	for _, symbol := range slip.Symbols {
		s.symbol(symbol, place)
	}
	for _, line := range slip.Lines {
		s.line(line, place)
	}
	if s.Outlines {
		s.outline(slip, place)
	}
}

func (s *sheet) text(t labels.Text, place layouts.Placed) {
	style := ""
	if t.Weight == labels.Bold {
		style = "B"
	}
	s.pdf.SetFont(family, style, t.Size)
	x, y := place.Point(t.X, t.Y)
	x, y = x*pointsPerMillimetre, y*pointsPerMillimetre
	turn := place.Turn.Add(t.Turn)
	if turn == layouts.Upright {
		s.pdf.Text(x, y, t.String)
		return
	}
	s.pdf.TransformBegin()
	s.pdf.TransformRotate(-90*float64(turn), x, y)
	s.pdf.Text(x, y, t.String)
	s.pdf.TransformEnd()
}

func (s *sheet) line(l labels.Line, place layouts.Placed) {
	fromX, fromY := place.Point(l.FromX, l.FromY)
	toX, toY := place.Point(l.ToX, l.ToY)
	s.pdf.SetLineWidth(l.Thickness * pointsPerMillimetre)
	s.pdf.SetLineCapStyle("square")
	s.pdf.Line(fromX*pointsPerMillimetre, fromY*pointsPerMillimetre, toX*pointsPerMillimetre, toY*pointsPerMillimetre)
}

func (s *sheet) outline(slip labels.Slip, place layouts.Placed) {
	s.pdf.SetLineWidth(outlineThickness * pointsPerMillimetre)
	s.pdf.Rect(place.X*pointsPerMillimetre, place.Y*pointsPerMillimetre, place.Width*pointsPerMillimetre, place.Height*pointsPerMillimetre, "D")
	height := place.Inner().Height
	for _, x := range slip.Creases {
		s.pdf.SetDashPattern([]float64{2, 2}, 0)
		s.line(labels.Line{FromX: x, FromY: 0, ToX: x, ToY: height, Thickness: outlineThickness}, place)
		s.pdf.SetDashPattern(nil, 0)
	}
}

// append writes a coordinate in points; four decimals hold a printer dot
// exactly enough.
func (s *sheet) append(points float64, end byte) {
	s.buffer = strconv.AppendFloat(s.buffer, points, 'f', 4, 64)
	s.buffer = append(bytes.TrimRight(bytes.TrimRight(s.buffer, "0"), "."), end)
}
