// Gofpdf prints a file of labels, a line each, with gofpdf and
// boombuler/barcode: what a small Go program does that keeps no ledger.
package main

import (
	"bufio"
	"fmt"
	"os"
	"strings"

	"github.com/boombuler/barcode/qr"
	"github.com/jung-kurt/gofpdf"
)

// Points, 1/72 inch: letter paper with 2 × 10 labels of 4 × 1 inch.
const (
	paper                   = 792.0 // height
	left, top, across, down = 13.5, 36.0, 297.0, 72.0
	columns, rows           = 2, 10
	module                  = 1.68 // 7 dots at 300 dpi
)

func main() {
	if len(os.Args) != 5 {
		fmt.Fprintln(os.Stderr, "usage: gofpdf LABELS REGULAR.ttf BOLD.ttf OUT.pdf")
		os.Exit(2)
	}
	if err := sheets(os.Args[1], os.Args[2], os.Args[3], os.Args[4]); err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func sheets(labels, regular, bold, out string) error {
	file, err := os.Open(labels)
	if err != nil {
		return err
	}
	defer file.Close()
	pdf := gofpdf.New("P", "pt", "Letter", "")
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetFontLocation("/") // fonts are named by whole paths
	pdf.AddUTF8Font("dejavu", "", regular)
	pdf.AddUTF8Font("dejavu", "B", bold)
	lines := bufio.NewScanner(file)
	for n := 0; lines.Scan(); n++ {
		place := n % (columns * rows)
		if place == 0 {
			pdf.AddPage()
		}
		x, y := left+float64(place%columns)*across, top+float64(place/columns)*down
		if err := label(pdf, x, y, strings.Split(lines.Text(), "\t")); err != nil {
			return err
		}
	}
	if err := lines.Err(); err != nil {
		return err
	}
	return pdf.OutputFileAndClose(out)
}

func label(pdf *gofpdf.Fpdf, x, y float64, part []string) error {
	variety, stock, date, count, code, digits := part[0], part[1], part[2], part[3], part[4], part[5]
	pdf.SetFont("dejavu", "B", 10)
	pdf.Text(x+6, y+20, "‘"+variety+"’")
	pdf.SetFont("dejavu", "", 10)
	pdf.Text(x+6, y+34, "/ ‘"+stock+"’")
	pdf.SetFontSize(7)
	pdf.Text(x+6, y+62, date+"   "+count)
	pdf.SetFontSize(9)
	pdf.Text(x+195, y+60, code)

	symbol, err := qr.Encode(digits, qr.H, qr.Numeric)
	if err != nil {
		return err
	}
	var path strings.Builder
	side := symbol.Bounds().Dx()
	for row := range side {
		for column := range side {
			if r, _, _, _ := symbol.At(column, row).RGBA(); r == 0 {
				fmt.Fprintf(&path, "%.2f %.2f %.2f %.2f re\n", x+220+float64(column)*module, paper-y-8-float64(row+1)*module, module, module)
			}
		}
	}
	path.WriteString("f")
	pdf.RawWriteStr(path.String())
	return nil
}
