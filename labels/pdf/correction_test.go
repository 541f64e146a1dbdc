package pdf_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
)

// write prints slips with a setup and renders the pages.
func write(t *testing.T, renderer *scan.Renderer, setup labels.Setup, free []int, slips []labels.Design) []*image.Gray {
	t.Helper()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	var content bytes.Buffer
	document := pdf.Document{Title: "test", Author: "graftslip", Language: "en", Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Face: face, Setup: setup, Free: free}
	pages, err := pdf.Write(&content, document, each(slips))
	require.NoError(t, err)
	require.Equal(t, document.Filling().Sheets(len(slips)), pages)
	var pictures []*image.Gray
	for picture, err := range renderer.Pages(context.Background(), content.Bytes(), exactDPI(setup.DPI)) {
		require.NoError(t, err)
		pictures = append(pictures, picture)
	}
	require.Len(t, pictures, pages)
	return pictures
}

func each(slips []labels.Design) func(func(labels.Design, error) bool) {
	return func(yield func(labels.Design, error) bool) {
		for _, slip := range slips {
			if !yield(slip, nil) {
				return
			}
		}
	}
}

// With a correction everything is moved to its corrected place, and symbols
// still are whole dots: found by their ink on the page, not by the arithmetic
// that put them there.
func TestCorrection(t *testing.T) {
	renderer, err := scan.NewRenderer(context.Background())
	require.NoError(t, err)
	defer renderer.Close()
	correction := layouts.Correction{ShiftX: 0.5, ShiftY: -1, ScaleX: 0.998, ScaleY: 1.001}
	read := 0
	for _, m := range []matrixCase{
		{stock: lookup(t, "letter-3x10"), wrap: layouts.Flag, stem: layouts.Stem{Diameter: 8, Clearance: layouts.Clearance}, dpi: 300},
		{stock: lookup(t, "strip-25x200"), wrap: layouts.Loop, stem: layouts.Stem{Diameter: 8, Clearance: layouts.Clearance}, dpi: 203},
		{stock: lookup(t, "card-4x6in"), dpi: 300},
	} {
		t.Run(m.String(), func(t *testing.T) {
			p := m.print(t, false)
			// Places at the far end of a sheet, where the scale counts most.
			free := []int{1}
			if count := m.stock.Count(); count > 1 {
				free = []int{count - 2, count - 1, count}
			}
			filling := layouts.Filling{Stock: m.stock, Free: free}
			pictures := write(t, renderer, labels.Setup{Stock: m.stock, DPI: m.dpi, Correction: correction}, free, p.slips)
			looks := make([]*look, len(pictures))
			for i, picture := range pictures {
				looks[i] = newLook(picture, m.dpi)
			}
			for n, slip := range p.slips {
				page, place := filling.Place(n)
				looks[page].checkCorrected(t, slip, m.stock.Position(place), correction)
				read += len(slip.Symbols)
			}
			for _, look := range looks {
				look.checkRest(t)
			}
		})
	}
	require.GreaterOrEqual(t, read, 8, "symbols of all kinds were looked at")
}

func lookup(t *testing.T, name string) layouts.Stock {
	t.Helper()
	s, err := layouts.Lookup(name)
	require.NoError(t, err)
	return s
}

// checkCorrected: every element has ink at its corrected place, and every
// symbol is whole and read there.
func (l *look) checkCorrected(t *testing.T, slip labels.Design, place layouts.Placed, c layouts.Correction) {
	t.Helper()
	know := func(what string, area layouts.Rect, more int) {
		pixels := l.pixels(area, more)
		require.NotZero(t, l.inked(pixels), "%q has no ink", what)
		for y := pixels.Min.Y; y < pixels.Max.Y; y++ {
			for x := pixels.Min.X; x < pixels.Max.X; x++ {
				l.known.SetGray(x, y, color.Gray{255})
			}
		}
	}
	for _, text := range slip.Texts {
		// Text keeps its size: its ink moves as the start of its baseline does.
		startX, startY := place.Point(text.X, text.Y)
		toX, toY := c.Point(startX, startY)
		ink := place.Area(text.Ink)
		ink.X, ink.Y = ink.X+toX-startX, ink.Y+toY-startY
		know(text.String, ink, 1)
	}
	for _, line := range slip.Lines {
		from, half := layouts.Rect{X: min(line.FromX, line.ToX), Y: min(line.FromY, line.ToY), Width: math.Abs(line.FromX - line.ToX), Height: math.Abs(line.FromY - line.ToY)}, line.Thickness/2
		know("line", c.Area(place.Area(from)).Inset(-half, -half, -half, -half), 1)
	}
	for _, s := range slip.Symbols {
		on := l.found(t, s, place, c)
		know(s.Text, on.Rect, 0)
		l.checkModules(t, s, on)
		text, err := readGozxing(s.Kind(), l.near(on.Rect))
		require.NoError(t, err)
		require.Equal(t, s.Text, text)
	}
}

// found is where a symbol lies by its ink: a whole number of dots wide and
// high, its middle within half a dot of the corrected one.
func (l *look) found(t *testing.T, s labels.Symbol, place layouts.Placed, c layouts.Correction) layouts.Placed {
	t.Helper()
	outer := place.Area(s.Place)
	middleX, middleY := c.Point(outer.X+outer.Width/2, outer.Y+outer.Height/2)
	within := l.pixels(layouts.Rect{X: middleX - outer.Width/2, Y: middleY - outer.Height/2, Width: outer.Width, Height: outer.Height}, 0)
	box := image.Rectangle{}
	for y := within.Min.Y; y < within.Max.Y; y++ {
		for x := within.Min.X; x < within.Max.X; x++ {
			if l.ink(x, y) {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	turn := place.Turn.Add(s.Turn)
	if s.Turned {
		turn = turn.Add(layouts.Clockwise)
	}
	// Dark modules reach every side of a symbol inside its quiet zone.
	width, height := float64(s.Modules.Width())*s.Module, float64(s.Modules.Height())*s.Module
	if s.Modules.Height() == 1 {
		height = s.Bar
	}
	if turn.Sideways() {
		width, height = height, width
	}
	across, down := 0.001, 0.001
	if s.Modules.Height() == 1 { // bars are as long as they are, and end within a dot
		across, down = 0.001+float64(turn%2), 1.001-float64(turn%2)
	}
	require.InDelta(t, width/l.dot, box.Dx(), across, "dots across a %v symbol", s.Kind())
	require.InDelta(t, height/l.dot, box.Dy(), down, "dots down a %v symbol", s.Kind())
	const half = 0.5 + 0.001
	require.InDelta(t, middleX/l.dot, float64(box.Min.X)+width/l.dot/2, half, "middle of a %v symbol, in dots", s.Kind())
	require.InDelta(t, middleY/l.dot, float64(box.Min.Y)+height/l.dot/2, half, "middle of a %v symbol, in dots", s.Kind())
	quietX, quietY := (outer.Width-width)/2, (outer.Height-height)/2
	return layouts.Placed{Turn: turn, Rect: layouts.Rect{
		X: float64(box.Min.X)*l.dot - quietX, Y: float64(box.Min.Y)*l.dot - quietY, Width: outer.Width, Height: outer.Height,
	}}
}

// A sheet that was used in part: ink on the free places alone, then on a
// whole sheet.
func TestFree(t *testing.T) {
	renderer, err := scan.NewRenderer(context.Background())
	require.NoError(t, err)
	defer renderer.Close()
	stock := lookup(t, "letter-3x10")
	var slips []labels.Design
	p := matrixCase{stock: stock, wrap: layouts.Flag, stem: layouts.Stem{Diameter: 8, Clearance: layouts.Clearance}, dpi: 203}.print(t, false)
	for range 5 {
		slips = append(slips, p.slips[0])
	}
	free := []int{4, 17, 30}
	pictures := write(t, renderer, labels.Setup{Stock: stock, DPI: 203}, free, slips)
	require.Len(t, pictures, 2)
	for page, taken := range [][]int{free, {1, 2}} {
		look := newLook(pictures[page], 203)
		for place := range stock.Count() {
			inked := look.inked(look.pixels(stock.Position(place).Rect, 0)) > 0
			require.Equal(t, slices.Contains(taken, place+1), inked, "page %d, place %d", page+1, place+1)
		}
	}
}

func TestFreeRefused(t *testing.T) {
	for _, test := range []struct {
		reason string
		free   []int
	}{
		{"there is no place 0", []int{0, 1}},
		{"there is no place 31: it would be printed on the first", []int{30, 31}},
		{"a place twice would be printed twice", []int{3, 3}},
		{"places that fall are printed out of order", []int{3, 2}},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var out bytes.Buffer
			_, err := pdf.Write(&out, pdf.Document{Setup: labels.Setup{Stock: lookup(t, "letter-3x10"), DPI: 300}, Free: test.free}, each(nil))
			require.ErrorContains(t, err, "the free places of a sheet of letter-3x10 are wrong at place ")
			require.Zero(t, out.Len())
		})
	}
}

// A ruler page on paper: every mark and word where the correction brings it,
// and nothing else.
func TestRulerPrinted(t *testing.T) {
	renderer, err := scan.NewRenderer(context.Background())
	require.NoError(t, err)
	defer renderer.Close()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	correction := layouts.Correction{ShiftX: 0.1, ShiftY: 0.1, ScaleX: 0.99, ScaleY: 0.991} // brings the edges into the page
	for _, name := range []string{"letter-3x10", "strip-25x200", "card-a6"} {
		t.Run(name, func(t *testing.T) {
			r := labels.DesignRuler(lookup(t, name), correction, face, 300)
			pictures := write(t, renderer, labels.Setup{Stock: r.Stock, DPI: 300, Correction: correction}, nil, []labels.Design{r.Page})
			require.Len(t, pictures, 1)
			look := newLook(pictures[0], 300)
			look.checkCorrected(t, r.Page, r.Stock.Position(0), correction)
			look.checkRest(t)
		})
	}
}
