package proof_test

import (
	"bytes"
	"context"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/labels/proof"
	"graftslip/layouts"
	"graftslip/records"
)

// session is a session that is printed and proved.
type session struct {
	batches  []records.Batch
	options  labels.Options
	document pdf.Document
	each     int        // labels or cards of each batch
	lost     codes.Code // that the ledger does not know
}

// newSession has two batches, one with names that must be broken into lines on
// small labels.
func newSession(t testing.TB, stock string, dpi float64) *session {
	t.Helper()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	label, err := layouts.Lookup(stock)
	require.NoError(t, err)
	date := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	s := &session{each: 2, options: labels.Options{
		Face: face, Stock: label, Wrap: layouts.Flag, Stem: layouts.Stem{Diameter: 6, Clearance: layouts.Clearance},
		Symbols: symbol.Auto(), DPI: dpi,
	}}
	for i, names := range [][2]string{{"Amber Weathercock", "Marlpit Hedge"}, {"Velvet Midnight Over Chalkfold", "Rosa multiflora"}} {
		code, err := codes.New(date, i+1)
		require.NoError(t, err)
		s.batches = append(s.batches, records.Batch{Code: code, Draft: records.Draft{
			Date: date, Variety: names[0], Stock: names[1], Grafts: 40, TraySize: 20, Source: "House bed 2", Grafter: "IV", Note: "shade at first",
		}})
	}
	s.document = pdf.Document{Title: "proof", Author: "graftslip", Language: "en", Date: date, Face: face, Setup: labels.Setup{Stock: label, DPI: dpi}}
	return s
}

// find looks a code up as a ledger does.
func (s *session) find(code codes.Code) (records.Record, bool, error) {
	for _, batch := range s.batches {
		most := batch.Grafts
		if code.Kind() == codes.Tray {
			most = batch.Trays()
		}
		if code.Whole() == batch.Code && code.Number() <= most && code != s.lost {
			return records.Record{Batch: batch, Code: code}, true, nil
		}
	}
	return records.Record{}, false, nil
}

// slips are the first labels or cards of each batch.
func (s *session) slips(t testing.TB) []labels.Design {
	t.Helper()
	var slips []labels.Design
	for _, batch := range s.batches {
		var fill func(int) (labels.Design, error)
		if s.options.Stock.Medium == layouts.Card {
			design, err := labels.DesignTray(batch, s.options)
			require.NoError(t, err)
			fill = design.Card
		} else {
			design, err := labels.DesignStem(batch, s.options)
			require.NoError(t, err)
			fill = design.Label
		}
		for i := range s.each {
			slip, err := fill(i + 1)
			require.NoError(t, err)
			slips = append(slips, slip)
		}
	}
	return slips
}

// write writes slips as a PDF.
func (s *session) write(t testing.TB, slips []labels.Design) []byte {
	t.Helper()
	var content bytes.Buffer
	_, err := pdf.Write(&content, s.document, func(yield func(labels.Design, error) bool) {
		for _, slip := range slips {
			if !yield(slip, nil) {
				return
			}
		}
	})
	require.NoError(t, err)
	return content.Bytes()
}

// shared is the renderer of all tests: it takes a while to start.
var shared = sync.OnceValues(func() (*scan.Renderer, error) { return scan.NewRenderer(context.Background()) })

func renderer(t testing.TB) *scan.Renderer {
	t.Helper()
	r, err := shared()
	require.NoError(t, err)
	return r
}

// check is the check that the session's files must pass.
func (s *session) check() proof.Check {
	return proof.Check{Find: s.find, Spread: proof.InkSpread}
}

// prove proves a file without a fault of the proof itself.
func (s *session) prove(t testing.TB, r *scan.Renderer, file []byte) proof.Report {
	t.Helper()
	report, err := s.check().File(context.Background(), r, file, nil)
	require.NoError(t, err)
	return report
}

// TestSoundFiles proves files that are as they should be: there must be no
// fault, and what was measured must be what was printed.
func TestSoundFiles(t *testing.T) {
	r := renderer(t)
	for _, test := range []struct {
		reason string
		stock  string
		dpi    float64
		change func(*session)
	}{
		{"flags, panels read upright", "letter-2x10", 300, nil},
		{"flags on a roll, turned by a quarter", "strip-25x200", 203, nil},
		{"bands, all on one panel", "a4-2x11", 300, func(s *session) { s.options.Wrap, s.options.Stem.Diameter = layouts.Band, 12 }},
		{"modules of two dots, one of which must be looked at from nearer", "a4-4x10", 203, func(s *session) {
			s.each = 5
			s.options.Wrap, s.options.Stem.Diameter, s.options.Symbols = layouts.Band, 12, []symbol.Kind{symbol.QR}
		}},
		{"loops, labels without gaps", "a4-3x8", 300, func(s *session) { s.options.Wrap = layouts.Loop }},
		{"a narrow strip, names turned along the stem", "strip-16x178", 300, nil},
		{"Data Matrix with modules of two dots", "a4-5x13", 203, func(s *session) {
			s.options.Wrap, s.options.Stem.Diameter, s.options.Symbols = layouts.Band, 12, []symbol.Kind{symbol.DataMatrix}
		}},
		{"Code 128", "letter-2x5", 203, func(s *session) { s.options.Symbols = []symbol.Kind{symbol.Code128} }},
		{"a fine printer", "strip-1x6in", 600, nil},
		{"cards", "letter-2x2", 300, nil},
		{"one card a page", "card-a6", 203, nil},
		{"stock that only its size names", "strip-30x180", 300, nil},
		{"a sheet that was used in part", "letter-3x10", 300, func(s *session) { s.document.Free = []int{2, 3, 9, 29} }},
		{"a printer that prints beside the place and too small", "letter-2x10", 300, func(s *session) {
			s.document.Correction = layouts.Correction{ShiftX: 0.5, ShiftY: -1, ScaleX: 0.998, ScaleY: 1.004}
		}},
		{"edges drawn", "letter-2x10", 300, func(s *session) { s.document.Outlines = true }},
	} {
		t.Run(test.reason, func(t *testing.T) {
			s := newSession(t, test.stock, test.dpi)
			if test.change != nil {
				test.change(s)
			}
			if s.options.Stock.Medium != layouts.Card {
				s.options.Stem.Diameter = min(s.options.Stem.Diameter, s.options.Stock.Thickest(s.options.Wrap, layouts.Clearance))
			}
			slips := s.slips(t)
			module := math.Inf(1)
			for _, slip := range slips {
				module = min(module, slip.Symbols[0].Module)
			}
			report := s.prove(t, r, s.write(t, slips))
			for _, fault := range report.Faults {
				require.NoError(t, &fault)
			}
			require.Equal(t, s.document.Filling().Sheets(len(slips)), report.Pages)
			require.Equal(t, len(slips), report.Symbols)
			require.Equal(t, len(slips), report.Read)
			require.Zero(t, report.Wrong+report.Missing)
			require.InDelta(t, module, report.SmallestModule, 1e-9)
			require.InDelta(t, symbol.Dot(test.dpi), report.Pixel, 1e-9)
			require.Equal(t, s.document.Outlines, report.Outlines)
			if report.Outlines {
				require.Zero(t, report.LeastDistance)
			} else {
				require.GreaterOrEqual(t, report.LeastDistance, layouts.Edge-symbol.Dot(test.dpi))
			}
		})
	}
}

// TestNames proves labels whose names are broken into lines or hold characters
// that readers of PDF may change.
func TestNames(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "a4-3x7", 203)
	names := [][2]string{
		{"Velvet Midnight- Over Chalkfold-", "Rosa × odorata-"}, {"Żółta Hala", "×Citroncirus webberi"}, {"Ночная Фиалка", "Νυχτερινή Αύρα"},
		{"Acer palmatum 'Blue Gate'", "Fagus sp."}, {"Oﬃce ½ Œillet", "M 26 / seedling"}, {"J. B. O’Hara", "P. 7-9 (x) [y] \\ &"},
	}
	batch := s.batches[0]
	s.batches = nil
	for i, pair := range names {
		code, err := codes.New(batch.Date, i+1)
		require.NoError(t, err)
		batch.Code, batch.Variety, batch.Stock = code, pair[0], pair[1]
		s.batches = append(s.batches, batch)
	}
	slips := s.slips(t)
	report := s.prove(t, r, s.write(t, slips))
	for _, fault := range report.Faults {
		require.NoError(t, &fault)
	}
	require.Equal(t, 2*len(names), report.Read)
}

// TestOtherResolutions draws a file with fewer and with more dots than its
// printer has, and with ink that spreads more and less.
func TestOtherResolutions(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "letter-2x10", 300)
	slips := s.slips(t)
	file := s.write(t, slips)
	for _, c := range []proof.Check{{DPI: 203}, {DPI: 600, Spread: 1}, {Spread: 0}, {Spread: 1.5}} {
		c.Find = s.find
		report, err := c.File(context.Background(), r, file, nil)
		require.NoError(t, err)
		require.Empty(t, report.Faults)
		require.Equal(t, len(slips), report.Read)
		require.InDelta(t, slips[0].Symbols[0].Module, report.SmallestModule, 1e-9, "drawn at %v dpi", c.DPI)
	}
}
