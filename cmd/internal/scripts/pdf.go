package scripts

import (
	"context"
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/text/encoding/unicode"

	"graftslip/codes/scan"
)

// pdfText makes the command "pdftext FILE OUT": it writes what stands in a PDF
// into OUT. The first line is its title; each page begins with its number, of how
// many, and its size in points, and goes on with its texts, top down, those that
// stand beside each other in one line, two spaces apart, no-break spaces as spaces.
func pdfText(renderer *scan.Renderer) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, negated bool, args []string) {
		if negated || len(args) != 2 {
			ts.Fatalf("usage: pdftext FILE OUT")
		}
		content := ts.ReadFile(args[0])
		title, err := titleOf(content)
		ts.Check(err)
		document, err := renderer.Open(context.Background(), []byte(content))
		ts.Check(err)
		defer document.Close()
		var out strings.Builder
		fmt.Fprintf(&out, "title: %s\n", title)
		for number := range document.Pages {
			page, err := document.Page(number+1, 72) // dots an inch: a pixel is a point
			ts.Check(err)
			size := page.Picture.Bounds().Size()
			fmt.Fprintf(&out, "page %d of %d, %d × %d\n", number+1, document.Pages, size.X, size.Y)
			for _, line := range textLines(page.Texts) {
				fmt.Fprintln(&out, line)
			}
		}
		ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(out.String()), 0o666))
	}
}

// titleOf is the title that a PDF of ours gives itself: UTF-16 in brackets.
func titleOf(pdf string) (string, error) {
	title := regexp.MustCompile(`(?s)/Title \((.*?)\)\n`).FindStringSubmatch(pdf)
	if title == nil {
		return "", fmt.Errorf("the PDF has no title")
	}
	return unicode.UTF16(unicode.BigEndian, unicode.ExpectBOM).NewDecoder().String(title[1])
}

// textLines puts the texts of a page into lines. A text is in the line of the one
// above it if its middle is not below that one's lower edge.
func textLines(texts []scan.PageText) []string {
	texts = slices.Clone(texts)
	slices.SortStableFunc(texts, func(a, b scan.PageText) int { return a.Place.Min.Y + a.Place.Max.Y - b.Place.Min.Y - b.Place.Max.Y })
	var lines []string
	for len(texts) > 0 {
		end := slices.IndexFunc(texts, func(t scan.PageText) bool { return t.Place.Min.Y+t.Place.Max.Y > 2*texts[0].Place.Max.Y })
		if end < 0 {
			end = len(texts)
		}
		line := texts[:end]
		texts = texts[end:]
		slices.SortStableFunc(line, func(a, b scan.PageText) int { return a.Place.Min.X - b.Place.Min.X })
		words := make([]string, len(line))
		for i, text := range line {
			words[i] = strings.ReplaceAll(text.Text, "\u00a0", " ")
		}
		lines = append(lines, strings.Join(words, "  "))
	}
	return lines
}
