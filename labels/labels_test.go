package labels

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

func builtIn(t testing.TB) *Typeface {
	t.Helper()
	face, err := BuiltIn()
	require.NoError(t, err)
	return face
}

func testBatch(t testing.TB, variety, stock string) records.Batch {
	t.Helper()
	date := time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)
	code, err := codes.New(date, 4)
	require.NoError(t, err)
	return records.Batch{Code: code, Draft: records.Draft{Row: 7, Date: date, Variety: variety, Stock: stock, Grafts: 40, TraySize: 20}}
}

func testOptions(t testing.TB, face *Typeface, stock string, wrap layouts.Wrap, diameter float64) Options {
	t.Helper()
	s, err := layouts.Lookup(stock)
	require.NoError(t, err)
	return Options{Face: face, Stock: s, Wrap: wrap, Stem: layouts.Stem{Diameter: diameter, Clearance: layouts.Clearance}, Symbols: symbol.Auto(), DPI: 300}
}

func texts(slip Design) string {
	var all []string
	for _, text := range slip.Texts {
		all = append(all, text.String)
	}
	return strings.Join(all, "|")
}

func TestStemLabelSays(t *testing.T) {
	face := builtIn(t)
	d, err := DesignStem(testBatch(t, "Amber Weathercock", "Old Gate"), testOptions(t, face, "letter-2x10", layouts.Flag, 8))
	require.NoError(t, err)
	slip, err := d.Label(17)
	require.NoError(t, err)
	require.Equal(t, "‘Amber|Weathercock’|/ ‘Old Gate’|2026-11-25   17 of 40|26329-004-0017-63", texts(slip))
	require.Len(t, slip.Symbols, 1)
	require.Equal(t, "26329004001763", slip.Symbols[0].Text)
	require.Equal(t, symbol.QR, slip.Symbols[0].Kind())
	require.Len(t, slip.Creases, 2)

	spare, err := d.Spare()
	require.NoError(t, err)
	require.Contains(t, texts(spare), "2026-11-25   spare")
	code, err := codes.Parse(spare.Symbols[0].Text)
	require.NoError(t, err)
	require.Equal(t, codes.Batch, code.Kind(), "a spare label stands for no stem yet")
}

func TestTrayCardSays(t *testing.T) {
	face := builtIn(t)
	batch := testBatch(t, "Amber Weathercock", "Rosa multiflora")
	batch.Source, batch.Grafter, batch.Note = "House bed 2", "IV", "shade at first"
	d, err := DesignTray(batch, testOptions(t, face, "card-4x6in", 0, 0))
	require.NoError(t, err)
	slip, err := d.Card(2)
	require.NoError(t, err)
	code, err := batch.Code.Tray(2)
	require.NoError(t, err)
	says := texts(slip)
	for _, want := range []string{"/ Rosa multiflora", "Tray 2 of 2", "stems 21–40", code.String(), "Grafted 2026-11-25 by IV", "Source: House bed 2",
		"Check for new growth from 2026-12-16", "Note: shade at first", "Date|Alive|Growing|Dead|Initials"} {
		require.Contains(t, says, want)
	}
	require.Equal(t, code.Compact(), slip.Symbols[0].Text)

	last := testBatch(t, "Amber", "Old Gate")
	last.Grafts = 21
	d, err = DesignTray(last, testOptions(t, face, "card-4x6in", 0, 0))
	require.NoError(t, err)
	slip, err = d.Card(2)
	require.NoError(t, err)
	require.Contains(t, texts(slip), "stem 21", "a tray of one stem says so")
}

// Rules of typography over random names: nothing outside the safe area, on a
// crease or below 6 pt; nothing overlaps; the variety is the largest thing; a
// name is whole or refused.
func TestDesignProperties(t *testing.T) {
	face := builtIn(t)
	random := rand.New(rand.NewPCG(1, 2))
	syllables := []string{"ab", "Él", "ø", "grü", "ñan", "wei", "λιά", "Жар", "Ťuk", "mm", "il", "ij", "gy"}
	name := func() string {
		var b strings.Builder
		for range 1 + random.IntN(9) {
			b.WriteString(syllables[random.IntN(len(syllables))])
			if random.IntN(4) == 0 && b.Len() > 0 {
				b.WriteByte(' ')
			}
		}
		return strings.TrimSpace(b.String())
	}
	set, refused := 0, 0
	for _, stock := range layouts.Catalogue() {
		for range 12 {
			wrap := layouts.Wraps()[random.IntN(3)]
			o := testOptions(t, face, stock.Name, wrap, 3+random.Float64()*10)
			batch := testBatch(t, name(), name())
			batch.Grafts = []int{1, 9, 40, 999, 8999}[random.IntN(5)]
			batch.TraySize = 500
			var slip Design
			var err error
			if stock.Medium == layouts.Card {
				var d *TrayCards
				if d, err = DesignTray(batch, o); err == nil {
					slip, err = d.Card(batch.Trays())
					require.NoError(t, err)
				}
			} else {
				var d *StemLabels
				if d, err = DesignStem(batch, o); err == nil {
					spare, spareErr := d.Spare()
					require.NoError(t, spareErr)
					requireProper(t, spare, stock, batch)
					slip, err = d.Label(batch.Grafts)
					require.NoError(t, err)
				}
			}
			if err != nil {
				refused++
				continue
			}
			set++
			requireProper(t, slip, stock, batch)
		}
	}
	t.Logf("%d slips set, %d refused for lack of room", set, refused)
	require.Greater(t, set, 150)
	require.Greater(t, refused, 10)
}

func requireProper(t *testing.T, slip Design, stock layouts.Stock, batch records.Batch) {
	t.Helper()
	largest := 0.0
	all := strings.ReplaceAll(texts(slip), "|", " ")
	require.Contains(t, all, records.Quoted(batch.Variety))
	require.Contains(t, all, records.Quoted(batch.Stock))
	for i, text := range slip.Texts {
		require.True(t, stock.Safe().Contains(text.Ink), "%s: %q leaves the safe area", stock.Name, text.String)
		require.GreaterOrEqual(t, text.Size, LeastSize)
		if text.Weight == Bold && i < 2 {
			largest = max(largest, text.Size)
		}
		for _, crease := range slip.Creases {
			require.False(t, text.Ink.X < crease && text.Ink.X+text.Ink.Width > crease, "%q crosses a crease", text.String)
		}
		for _, other := range slip.Texts[:i] {
			shared := text.Ink.Intersect(other.Ink)
			require.False(t, shared.Width > 0.001 && shared.Height > 0.001, "%q and %q overlap", text.String, other.String)
		}
		for _, s := range slip.Symbols {
			shared := text.Ink.Intersect(s.Place)
			require.False(t, shared.Width > 0.001 && shared.Height > 0.001, "%q stands in the quiet zone", text.String)
		}
	}
	for _, text := range slip.Texts {
		if !strings.Contains(text.String, "-") { // a code alone on its panel may be larger
			require.LessOrEqual(t, text.Size, largest, "%q is larger than the variety", text.String)
		}
	}
}

func TestDesignErrors(t *testing.T) {
	face := builtIn(t)
	long := "Velvet Midnight Over Chalkfold"
	for _, test := range []struct {
		reason string
		batch  records.Batch
		stock  string
		wrap   layouts.Wrap
		says   string
	}{
		{"a variety too long for two lines", testBatch(t, long, "Anchor"), "letter-4x20", layouts.Band,
			`row 7, variety: "‘Velvet Midnight Over Chalkfold’" does not fit in 28.4 × 9.7 mm on letter-4x20 as a band, even at 6 pt in 2 lines`},
		{"a rootstock too long for two lines", testBatch(t, "Amber", long+" the Elder"), "letter-4x20", layouts.Band,
			`row 7, stock: "/ ‘Velvet Midnight Over Chalkfold the Elder’" does not fit`},
		{"a word that cannot be broken", testBatch(t, strings.Repeat("Morgenröte", 5), "Anchor"), "letter-3x10", layouts.Flag, `row 7, variety: `},
		{"a character that the font lacks", testBatch(t, "月光", "Anchor"), "letter-2x10", layouts.Flag,
			`row 7, variety: the font DejaVu Sans Condensed has no character '月' (U+6708), needed for "‘月光’"`},
		{"a card is not wrapped", testBatch(t, "Amber", "Anchor"), "card-4x6in", layouts.Flag, `row 7, label: card-4x6in is a card`},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := DesignStem(test.batch, testOptions(t, face, test.stock, test.wrap, 8))
			require.ErrorContains(t, err, test.says)
		})
	}
	t.Run("a wrap of the manifest", func(t *testing.T) {
		batch := testBatch(t, "Amber", "Anchor")
		batch.Wrap = layouts.Flag
		_, err := DesignStem(batch, testOptions(t, face, "card-4x6in", layouts.Flag, 8))
		require.ErrorContains(t, err, "row 7, label wrap: ")
	})
	t.Run("a label without room for the pen table", func(t *testing.T) {
		_, err := DesignTray(testBatch(t, "Amber", "Anchor"), testOptions(t, face, "letter-3x10", 0, 0))
		require.Error(t, err)
	})
	t.Run("every missing character of a row is named", func(t *testing.T) {
		batch := testBatch(t, "月光", "花")
		batch.Note = "水"
		_, err := DesignTray(batch, testOptions(t, face, "card-4x6in", 0, 0))
		require.ErrorContains(t, err, "row 7, variety")
		require.ErrorContains(t, err, "row 7, stock")
		require.ErrorContains(t, err, "row 7, note")
	})
}

// On a panel narrower than high long names are turned along the stem, short
// ones stay upright where that is large enough.
func TestNarrowPanels(t *testing.T) {
	face := builtIn(t)
	for _, test := range []struct {
		reason, variety, stock string
		want                   layouts.Turn
	}{
		{"two long words", "Velvet Midnight Over Chalkfold", "letter-3x10", layouts.Clockwise},
		{"a short name", "Ash", "letter-3x10", layouts.Upright},
		{"a wide panel", "Velvet Midnight Over Chalkfold", "letter-2x10", layouts.Upright},
	} {
		t.Run(test.reason, func(t *testing.T) {
			d, err := DesignStem(testBatch(t, test.variety, "Oak"), testOptions(t, face, test.stock, layouts.Flag, 8))
			require.NoError(t, err)
			slip, err := d.Label(1)
			require.NoError(t, err)
			require.Equal(t, test.want, slip.Texts[0].Turn)
		})
	}
}

// Modules of 0.33 mm and more are worth smaller letters.
func TestLargerModulesFirst(t *testing.T) {
	small, large := arrangement{score: 0.9}, arrangement{score: 0.1}
	small.fitted.Small = true
	require.True(t, large.better(small))
	require.False(t, small.better(large))
	require.True(t, arrangement{score: 0.9}.better(large))

	face := builtIn(t)
	d, err := DesignStem(testBatch(t, "Velvet Midnight Over Chalkfold", "Marlpit Hedge"), testOptions(t, face, "letter-2x10", layouts.Loop, 12))
	require.NoError(t, err)
	module, isSmall := d.Small()
	require.False(t, isSmall, "%v mm a module", module)
}

// A symbol on a band keeps to the 30° rule: 0.5236 of the diameter.
func TestBandSymbol(t *testing.T) {
	face := builtIn(t)
	for _, diameter := range []float64{8, 10, 12, 20} {
		d, err := DesignStem(testBatch(t, "Amber", "Anchor"), testOptions(t, face, "a4-2x7", layouts.Band, diameter))
		require.NoError(t, err)
		slip, err := d.Label(1)
		require.NoError(t, err)
		s := slip.Symbols[0]
		require.LessOrEqual(t, float64(s.Modules.Height())*s.Module, 0.5236*diameter+0.001)
		t.Logf("stem of %v mm: %v, %.3f mm a module", diameter, s.Kind(), s.Module)
	}
}

// Each card has room for its own words: the widest is not always the last nor
// the last full tray.
func TestEveryTrayCard(t *testing.T) {
	face := builtIn(t)
	cards := 0
	for _, stock := range []string{"letter-2x2", "card-3x5in", "card-a6"} {
		for _, size := range [][2]int{{40, 20}, {100, 50}, {18, 9}, {1000, 500}, {1000, 100}, {101, 20}, {9, 1}, {1001, 10}, {40, 0}} {
			for _, names := range [][2]string{{"Amber", "Oak"}, {"Velvet Midnight Over Chalkfold", "Marlpit Hedge"}} {
				batch := testBatch(t, names[0], names[1])
				batch.Grafts, batch.TraySize = size[0], size[1]
				o := testOptions(t, face, stock, 0, 0)
				d, err := DesignTray(batch, o)
				require.NoError(t, err)
				for tray := 1; tray <= batch.Trays(); tray++ {
					slip, err := d.Card(tray)
					require.NoError(t, err, "%s, %v, tray %d", stock, size, tray)
					requireProper(t, slip, o.Stock, batch)
					cards++
				}
			}
		}
	}
	t.Logf("%d cards", cards)
}

func TestBreaks(t *testing.T) {
	face := builtIn(t)
	for _, test := range []struct {
		reason, text string
		lines        int
		want         string
	}{
		{"as even as can be", "Souvenir de Marguerite Valery", 2, "Souvenir de|Marguerite Valery"},
		{"a hybrid sign stays with its word", "Wicketfold × Amberline", 2, "Wicketfold|× Amberline"},
		{"a bar stays with its word", "/ ‘Old Gate’", 2, "/ ‘Old|Gate’"},
		{"one word is one line", "Amber", 2, "Amber"},
		{"three lines", "shade for the first week and feed later", 3, "shade for the|first week|and feed later"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			require.Equal(t, test.want, strings.Join(breakInto(face, unbreakable(test.text), Regular, test.lines), "|"))
		})
	}
}
