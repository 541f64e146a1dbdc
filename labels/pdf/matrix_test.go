package pdf_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/testdata/long"
)

// The matrix: every stock and two small ones, every wrap it can do, every symbol that fits, at
// three resolutions, in the short form at one of them by turns. Pages are cut short
// to the rows that three labels need, one for each symbol; GRAFTSLIP_MATRIX=full
// prints whole sheets instead.
const matrixVariable = "GRAFTSLIP_MATRIX"

// matrixCase is one PDF.
type matrixCase struct {
	stock layouts.Stock
	wrap  layouts.Wrap // 0 for tray cards
	stem  layouts.Stem
	dpi   float64
}

func (m matrixCase) String() string {
	wrap := "card"
	if m.wrap != 0 {
		wrap = m.wrap.String()
	}
	return fmt.Sprintf("%s/%s/%v", m.stock.Name, wrap, m.dpi)
}

func matrixCases(t *testing.T) []matrixCase {
	var cases []matrixCase
	grid, tape := lookup(t, "a4-7x27:25x10mm"), lookup(t, "strip-12x90")
	for _, stock := range append(layouts.Catalogue(), grid, tape) {
		for _, dpi := range []float64{203, 300, 600} {
			if stock.Medium == layouts.Card {
				cases = append(cases, matrixCase{stock: stock, dpi: dpi})
				continue
			}
			if stock == grid {
				cases = append(cases, matrixCase{stock, layouts.LiesFlat, layouts.Stem{}, dpi})
				continue
			}
			for _, wrap := range layouts.Rounds() {
				// A usual stem, thicker for a band so that the 30° rule leaves
				// room for each kind of symbol, thinner where the stock is short.
				diameter := 8.0
				if wrap == layouts.Band {
					diameter = 12
				}
				diameter = min(diameter, stock.Thickest(wrap, layouts.Clearance))
				if diameter > 0 {
					cases = append(cases, matrixCase{stock, wrap, layouts.Stem{Diameter: diameter, Clearance: layouts.Clearance}, dpi})
				}
			}
		}
	}
	return cases
}

// printed is a PDF and what should be seen on it.
type printed struct {
	stock   layouts.Stock // with as many rows as were printed on
	slips   []labels.Design
	kinds   []symbol.Kind
	pdf     []byte
	refused map[symbol.Kind]error
}

// short cuts a stock's paper to the rows that n labels need.
func short(s layouts.Stock, n int) layouts.Stock {
	rows := min(s.Rows, (n+s.Columns-1)/s.Columns)
	s.Paper.Height -= float64(s.Rows-rows) * s.PitchY
	s.Rows = rows
	return s
}

func (m matrixCase) print(t *testing.T, full bool) printed {
	t.Helper()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	date := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	code, err := codes.New(date, 4)
	require.NoError(t, err)
	batch := records.Batch{Code: code, Draft: records.Draft{
		Row: 2, Date: date, Variety: "Amberglut", Stock: "Lode", Grafts: 8999, TraySize: 90, Source: "Mother bed 3", Note: "shade at first",
	}}
	p := printed{stock: m.stock, refused: map[symbol.Kind]error{}}
	kinds := []symbol.Kind{symbol.QR, symbol.DataMatrix, symbol.Code128}
	if !full {
		p.stock = short(m.stock, len(kinds))
	}
	for _, kind := range kinds {
		o := labels.Options{Face: face, Stock: p.stock, Wrap: m.wrap, Stem: m.stem, Symbols: []symbol.Kind{kind}, DPI: m.dpi}
		fill, err := design(batch, o, m.wrap == 0)
		if err != nil {
			p.refused[kind] = err
			continue
		}
		count := 1
		if full {
			count = p.stock.Count()
		}
		for n := range count {
			slip, err := fill(1 + (37+n*89)%99)
			require.NoError(t, err)
			p.slips, p.kinds = append(p.slips, slip), append(p.kinds, kind)
		}
	}
	var content bytes.Buffer
	document := pdf.Document{Title: "matrix", Author: "graftslip", Language: "en", Date: date, Face: face, Setup: labels.Setup{Stock: p.stock, DPI: m.dpi}}
	pages, err := pdf.Write(&content, document, func(yield func(labels.Design, error) bool) {
		for _, slip := range p.slips {
			if !yield(slip, nil) {
				return
			}
		}
	})
	require.NoError(t, err)
	require.Equal(t, p.stock.Sheets(len(p.slips)), pages)
	p.pdf = content.Bytes()
	return p
}

// design returns a function that fills in a stem label or a tray card.
func design(batch records.Batch, o labels.Options, card bool) (func(int) (labels.Design, error), error) {
	if card {
		d, err := labels.DesignTray(batch, o)
		if err != nil {
			return nil, err
		}
		return d.Card, nil
	}
	d, err := labels.DesignStem(batch, o)
	if err != nil {
		return nil, err
	}
	return d.Label, nil
}

func TestMatrix(t *testing.T) {
	full := os.Getenv(matrixVariable) == "full"
	step := 1 // takes every case, or one of the three that differ in resolution alone
	if !full && !long.Form() {
		step = 3
	}
	ctx := context.Background()
	renderer, err := scan.NewRenderer(ctx)
	require.NoError(t, err)
	defer renderer.Close()

	var tally matrixTally
	work := make(chan matrixCase)
	var workers sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for m := range work {
				t.Run(m.String(), func(t *testing.T) {
					p := m.print(t, full)
					for kind, err := range p.refused {
						requireRefusal(t, err)
						tally.add(kind, func(k *kindTally) { k.refused++ })
					}
					if len(p.slips) == 0 {
						return
					}
					page := 0
					for picture, err := range renderer.Pages(ctx, p.pdf, exactDPI(m.dpi)) {
						require.NoError(t, err)
						tally.page(p, page, picture, m.dpi, t)
						page++
					}
					require.Equal(t, p.stock.Sheets(len(p.slips)), page)
				})
			}
		})
	}
	for i, m := range matrixCases(t) {
		if i%step == i/step%step {
			work <- m
		}
	}
	close(work)
	workers.Wait()
	for _, kind := range []symbol.Kind{symbol.QR, symbol.DataMatrix, symbol.Code128} {
		k := tally.kinds[kind]
		t.Logf("%-10v printed %d, read %d, wrong %d, missing %d; refused for lack of room %d cases", kind, k.printed, k.read, k.wrong, k.missing, k.refused)
		require.Zero(t, k.wrong)
		require.Zero(t, k.missing)
		require.Equal(t, k.printed, k.read)
		// Most stocks and wraps have room for most symbols.
		require.Greater(t, step*k.printed, map[symbol.Kind]int{symbol.QR: 150, symbol.DataMatrix: 150, symbol.Code128: 90}[kind])
	}
}

// requireRefusal: a symbol may be refused for lack of room and for no other
// reason.
func requireRefusal(t *testing.T, err error) {
	t.Helper()
	var room *symbol.RoomError
	var fault *labels.Error
	require.True(t, errors.As(err, &room) || errors.As(err, &fault) && fault.Code == labels.NoRoom, "%v", err)
}

// exactDPI is what a printer called 203 dpi has.
func exactDPI(dpi float64) float64 { return layouts.MillimetresPerInch / symbol.Dot(dpi) }

type kindTally struct{ printed, read, wrong, missing, refused int }

// matrixTally counts over all cases; safe for concurrent use.
type matrixTally struct {
	mutex sync.Mutex
	kinds map[symbol.Kind]kindTally
}

func (m *matrixTally) add(kind symbol.Kind, change func(*kindTally)) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	if m.kinds == nil {
		m.kinds = map[symbol.Kind]kindTally{}
	}
	k := m.kinds[kind]
	change(&k)
	m.kinds[kind] = k
}

// page checks one rendered page: the ink is where it should be, and every
// symbol reads back.
func (m *matrixTally) page(p printed, page int, picture *image.Gray, dpi float64, t *testing.T) {
	t.Helper()
	first := page * p.stock.Count()
	last := min(first+p.stock.Count(), len(p.slips))
	look := newLook(picture, dpi)
	for i := first; i < last; i++ {
		place := p.stock.Position(i)
		look.checkSlip(t, p.slips[i], place, p.stock.Safe())
		for _, s := range p.slips[i].Symbols {
			look.checkSymbol(t, s, place)
			text, err := look.read(s, place)
			m.add(p.kinds[i], func(k *kindTally) {
				k.printed++
				switch {
				case err != nil:
					k.missing++
				case text != s.Text:
					k.wrong++
				default:
					k.read++
				}
			})
			require.NoError(t, err)
			require.Equal(t, s.Text, text)
		}
	}
	look.checkRest(t)
}
