// Package pdf puts designs on paper. It is the only package that knows the PDF
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
	"graftslip/labels/internal/prefetch"
	"graftslip/layouts"
)

const (
	pointsPerMillimetre = 72 / layouts.MillimetresPerInch
	outlineThickness    = 0.1 // mm
	family              = "slip"

	prefetched = 64 // that wait to be drawn, at the most
)

// Document says what a PDF is and what it is printed on.
type Document struct {
	Title, Author, Language string    // language as in BCP 47
	Date                    time.Time // stands as the file's date, so that equal designs give equal bytes
	Face                    *labels.Typeface
	labels.Setup                  // but for Printed, which Write counts
	Free                    []int // places that are free on the first sheet, as in layouts.Filling
}

// Filling is the order in which designs take their places.
func (d Document) Filling() layouts.Filling { return layouts.Filling{Stock: d.Stock, Free: d.Free} }

// Write writes the designs in order, a sheet of the stock a page, and returns
// the number of pages. A design with nothing on it leaves its place blank. The
// bytes depend on the arguments alone. Errors are those of w and of the designs,
// fonts that cannot be embedded, free places that the stock does not have, and an
// *OffPaperError.
func Write(w io.Writer, d Document, designs iter.Seq2[labels.Design, error]) (pages int, err error) {
	if err := d.checkFree(); err != nil {
		return 0, err
	}
	var sheet *sheet
	if err := d.guarded(func() error { sheet = newSheet(d); return sheet.pdf.Error() }); err != nil {
		return 0, err
	}
	n, filling, off := 0, d.Filling(), &OffPaperError{Stock: d.Stock.Name}
	d.Printed = 0
	// Designs are made while others are drawn.
	for design, err := range prefetch.Values(designs, prefetched) {
		if err != nil {
			return 0, err
		}
		page, place := filling.Place(n)
		for ; pages <= page; pages++ {
			sheet.pdf.AddPage()
		}
		sheet.draw(design, d.Stock.Position(place))
		off.measure(d, design, d.Stock.Position(place))
		if !blank(design) {
			d.Printed++
		}
		n++
	}
	if off.By >= leastOff {
		return 0, off
	}
	sheet.pdf.SetKeywords(d.Setup.String(), false)
	var content whole
	if err := d.guarded(func() error { return sheet.pdf.Output(&content) }); err != nil {
		return 0, fmt.Errorf("writing a PDF: %w", err)
	}
	sheet.pdf = nil // its pages take as much memory again
	return pages, finish(w, content, d.Language)
}

// whole takes what the library writes, which it does at once and with a slice
// that nobody changes any more: a large file need not be copied.
type whole []byte

func (c *whole) Write(p []byte) (int, error) {
	if *c == nil {
		*c = p
	} else {
		*c = append(*c, p...)
	}
	return len(p), nil
}

func blank(design labels.Design) bool {
	return len(design.Texts)+len(design.Symbols)+len(design.Lines) == 0
}

// checkFree finds free places that would put a design on a used label.
func (d Document) checkFree() error {
	before := 0
	for _, place := range d.Free {
		if place <= before || place > d.Stock.Count() {
			return fmt.Errorf("the free places of a sheet of %s are wrong at place %d", d.Stock.Name, place)
		}
		before = place
	}
	return nil
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
	f.SetCompression(false) // see finish
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

func (s *sheet) draw(design labels.Design, place layouts.Placed) {
	for _, text := range design.Texts {
		s.text(text, place)
	}
	for _, symbol := range design.Symbols {
		s.symbol(symbol, place)
	}
	for _, line := range design.Lines {
		s.line(line, place)
	}
	if s.Outlines {
		s.outline(design, place)
	}
}

func (s *sheet) text(t labels.Text, place layouts.Placed) {
	style := ""
	if t.Weight == labels.Bold {
		style = "B"
	}
	s.pdf.SetFont(family, style, t.Size)
	x, y := s.point(place.Point(t.X, t.Y))
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
	fromX, fromY := s.point(place.Point(l.FromX, l.FromY))
	toX, toY := s.point(place.Point(l.ToX, l.ToY))
	s.pdf.SetLineWidth(l.Thickness * pointsPerMillimetre)
	s.pdf.SetLineCapStyle("square")
	s.pdf.Line(fromX, fromY, toX, toY)
}

func (s *sheet) outline(design labels.Design, place layouts.Placed) {
	s.pdf.SetLineWidth(outlineThickness * pointsPerMillimetre)
	edge := s.Correction.Area(place.Rect)
	s.pdf.Rect(edge.X*pointsPerMillimetre, edge.Y*pointsPerMillimetre, edge.Width*pointsPerMillimetre, edge.Height*pointsPerMillimetre, "D")
	height := place.Inner().Height
	for _, x := range design.Creases {
		s.pdf.SetDashPattern([]float64{2, 2}, 0)
		s.line(labels.Line{FromX: x, FromY: 0, ToX: x, ToY: height, Thickness: outlineThickness}, place)
		s.pdf.SetDashPattern(nil, 0)
	}
}

// point returns where a point of the paper is printed, in points.
func (s *sheet) point(x, y float64) (pointX, pointY float64) {
	x, y = s.Correction.Point(x, y)
	return x * pointsPerMillimetre, y * pointsPerMillimetre
}

// append writes a number of points; four decimals hold a printer dot exactly
// enough.
func (s *sheet) append(points float64, decimals int, end byte) {
	if points == 0 {
		points = 0 // no minus
	}
	s.buffer = strconv.AppendFloat(s.buffer, points, 'f', decimals, 64)
	s.buffer = append(bytes.TrimRight(bytes.TrimRight(s.buffer, "0"), "."), end)
}
