package labels

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/layouts"
	"graftslip/records"
)

const testLink = "HTTP://192.168.1.20:8080"

// usualBatches are batches with short, usual, non-Latin and long records.
func usualBatches(t testing.TB) []records.Batch {
	t.Helper()
	short := testBatch(t, "Amber", "Oak")
	usual := testBatch(t, "Amber Weathercock", "Marlpit Hedge")
	usual.Grafts, usual.TraySize, usual.Source, usual.Grafter, usual.Stem = 60, 30, "House bed 2", "IV", 7
	greek := testBatch(t, "Αυγή του Βορρά", "Rosa ×dykeana")
	greek.Grafts, greek.TraySize, greek.Source, greek.Note = 30, 0, "Exchange 2026-07", "first grafts of this seedling"
	long := testBatch(t, "Velvet Midnight Over Chalkfold", "Löwenzahn im Überfluß")
	long.Grafts, long.TraySize, long.Source, long.Grafter, long.Stem, long.Wrap = 8999, 90, "Shade house 1", "OB", 7.9375, layouts.Flag
	long.Note = strings.TrimSpace(strings.Repeat("shade for ten days; ", 6))
	return []records.Batch{short, usual, greek, long}
}

// designed lays out a card and fills in one tray.
func designed(t testing.TB, batch records.Batch, o Options, tray int) Design {
	t.Helper()
	d, err := DesignTray(batch, o)
	require.NoError(t, err)
	slip, err := d.Card(tray)
	require.NoError(t, err)
	return slip
}

// Every card has room for the three texts, for every printer.
func TestCardSymbols(t *testing.T) {
	face := builtIn(t)
	cards, small := 0, 0
	for _, stock := range layouts.Catalogue() {
		if stock.Medium != layouts.Card {
			continue
		}
		for _, dpi := range []float64{203, 300, 600} {
			for _, batch := range usualBatches(t) {
				for _, says := range CardSymbols() {
					o := testOptions(t, face, stock.Name, 0, 0)
					o.DPI, o.CardSymbol, o.Link, o.Nursery = dpi, says, testLink, "Weathercock Hollow"
					tray := batch.Trays()
					slip := designed(t, batch, o, tray)
					requireProper(t, slip, stock, batch)
					code, err := batch.Code.Tray(tray)
					require.NoError(t, err)
					require.Contains(t, strings.ReplaceAll(texts(slip), "|", "-"), code.String(), "the code stands on the card whatever its symbol says")
					require.Len(t, slip.Symbols, 1)
					s := slip.Symbols[0]
					require.True(t, stock.Safe().Contains(s.Place), "%v leaves %v", s.Place, stock.Safe())
					switch says {
					case CardCode:
						require.Equal(t, code.Compact(), s.Text)
					case CardLink:
						require.Equal(t, testLink+"/"+code.Compact(), s.Text)
					case CardRecord:
						record, err := records.ParseLine(s.Text)
						require.NoError(t, err)
						want := records.Record{Batch: batch, Code: code}
						want.Batch.Row = 0
						require.Equal(t, want, record)
					}
					if dpi == 300 {
						again, err := symbol.Encode(s.Kind(), s.Text)
						require.NoError(t, err)
						require.Equal(t, again, s.Modules, "the modules are those of the text")
					}
					cards++
					if s.Small {
						small++
					}
				}
			}
		}
	}
	t.Logf("%d cards, %d of them with modules below 0.33 mm", cards, small)
	require.Equal(t, 5*3*4*3, cards)
	require.Zero(t, small)
}

func TestCardSymbolErrors(t *testing.T) {
	face := builtIn(t)
	usual, greek, full := usualBatches(t)[1], usualBatches(t)[2], usualBatches(t)[3]
	full.Variety, full.Stock = strings.Repeat("Ώμέγα ", 9)+"Ώμέγα", strings.Repeat("Ώμέγα ", 9)+"Ώμέγα"
	full.Source, full.Note = strings.Repeat("ά ", 59)+"ά", strings.Repeat("ά ", 59)+"ά"
	only := func(kind symbol.Kind) []symbol.Kind { return []symbol.Kind{kind} }
	for _, test := range []struct {
		reason     string
		batch      records.Batch
		stock      string
		symbols    []symbol.Kind
		says       CardSymbol
		want, hint string
	}{
		{"letters that Data Matrix lacks", greek, "card-a6", only(symbol.DataMatrix), CardRecord,
			"row 7, label: datamatrix cannot hold ", "use --symbol qr or --card-symbol code"},
		{"letters that Code 128 lacks", greek, "card-a6", only(symbol.Code128), CardRecord,
			"row 7, label: code128 cannot hold ", "use --symbol qr or --card-symbol code"},
		{"a record as bars", usual, "card-a6", only(symbol.Code128), CardRecord,
			"row 7, label: code128 cannot hold ", "use --symbol qr or --card-symbol code"},
		{"a link as bars", usual, "card-90x120", only(symbol.Code128), CardLink,
			"row 7, label: code128 of ", "use --symbol qr or --card-symbol code"},
		{"a long record on a small card", full, "card-3x5in", symbol.Auto(), CardRecord,
			"row 7, ", "use --card-symbol code, which needs less room than record"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			o := testOptions(t, face, test.stock, 0, 0)
			o.Symbols, o.CardSymbol, o.Link = test.symbols, test.says, testLink
			_, err := DesignTray(test.batch, o)
			require.ErrorContains(t, err, test.want)
			require.Equal(t, test.hint, hintOf(t, err))
			o.CardSymbol = CardCode
			_, err = DesignTray(test.batch, o)
			require.NoError(t, err, "the advice holds")
		})
	}
	t.Run("no symbol is at fault where the code alone does not fit either", func(t *testing.T) {
		o := testOptions(t, face, "card-60x110", 0, 0)
		o.CardSymbol = CardRecord
		_, err := DesignTray(full, o)
		require.Error(t, err)
		require.NotContains(t, hintOf(t, err), "--card-symbol")
	})
	t.Run("letters that one of two kinds lacks", func(t *testing.T) {
		o := testOptions(t, face, "card-a6", 0, 0)
		o.CardSymbol = CardRecord
		for _, symbols := range [][]symbol.Kind{symbol.Auto(), {symbol.DataMatrix, symbol.QR}} {
			o.Symbols = symbols
			require.Equal(t, symbol.QR, designed(t, greek, o, 1).Symbols[0].Kind())
		}
	})
	t.Run("a record as Data Matrix", func(t *testing.T) {
		o := testOptions(t, face, "card-a6", 0, 0)
		o.CardSymbol, o.Symbols = CardRecord, only(symbol.DataMatrix)
		require.Equal(t, symbol.DataMatrix, designed(t, usual, o, 1).Symbols[0].Kind())
	})
	t.Run("a link without an address", func(t *testing.T) {
		o := testOptions(t, face, "card-a6", 0, 0)
		o.CardSymbol = CardLink
		_, err := DesignTray(usual, o)
		require.ErrorContains(t, err, "is not a valid address for cards")
		require.Empty(t, hintOf(t, err))
	})
	t.Run("a record that no reader would take", func(t *testing.T) {
		o := testOptions(t, face, "card-a6", 0, 0)
		o.CardSymbol = CardRecord
		broken := usual
		broken.Source = "House  bed"
		_, err := DesignTray(broken, o)
		require.ErrorContains(t, err, `row 7, label: the record cannot be read back from a card`)
	})
}

// The symbols of names in many letters read back as they were: Encode refuses
// those that do not.
func TestSymbolsHoldNames(t *testing.T) {
	names := []string{
		"Löwenzahn im Überfluß", "Käthe × Bär", "Crème de l'Étang", "L'Œillet de Noël", "Čepička pod Věží", "Žluťoučký kůň",
		"Señorita Peñaluz", "Sølvknapp Glød", "Ólafur’s Eclipse", "Żółta Łąka", "Őszi Tükör", "Gül Işığı", "Αυγή του Βορρά",
		"Заря Полевая", "Ёлка", "Ґанок", "Hoa hồng trắng", "月光", "春の夜", "カスミ", "ｶｽﾐ", "장미", "玫瑰", "¥ ° ½ ±", "×", "é", "ÿþ",
	}
	for i, variety := range names {
		batch := testBatch(t, variety, names[(i+1)%len(names)])
		line := records.Line(records.Record{Batch: batch, Code: batch.Code})
		modules, err := symbol.Encode(symbol.QR, line)
		require.NoError(t, err, line)
		require.Positive(t, modules.Width())
	}
}

func TestParseCardSymbol(t *testing.T) {
	for _, says := range CardSymbols() {
		parsed, err := ParseCardSymbol(strings.ToUpper(says.String()) + " ")
		require.NoError(t, err)
		require.Equal(t, says, parsed)
	}
	for _, word := range []string{"", "qr", "codes"} {
		_, err := ParseCardSymbol(word)
		require.Equal(t, fmt.Sprintf("%q is not a valid symbol for cards", word), err.Error())
		require.NotEmpty(t, hintOf(t, err))
	}
}

// hintOf is the advice of an error of this package, without that of what it wraps.
func hintOf(t *testing.T, err error) string {
	t.Helper()
	var fault *Error
	require.ErrorAs(t, err, &fault)
	return fault.Hint()
}

func TestNursery(t *testing.T) {
	face := builtIn(t)
	batch := testBatch(t, "Amber", "Oak")
	batch.Note = "shade at first"
	o := testOptions(t, face, "card-a6", 0, 0)
	o.Nursery = "Weathercock Hollow Nursery"
	slip := designed(t, batch, o, 1)
	require.Contains(t, texts(slip), "Note: shade at first|Weathercock Hollow Nursery")
	requireProper(t, slip, o.Stock, batch)

	for _, test := range []struct{ reason, nursery, says string }{
		{"a character that the font lacks", "月光 Nursery", `nursery: the font DejaVu Sans Condensed has no character '月' (U+6708), needed for "月光 Nursery"`},
		{"a script that cannot be set", "ורד", `nursery: the character 'ו' (U+05D5) in "ורד" cannot be printed`},
		{"a character beyond those of a page", "Nursery 🌱", `nursery: the character '🌱' (U+1F331) in "Nursery 🌱" cannot be printed`},
		{"a word too long for a line", strings.Repeat("Weathercock", 12), `nursery: "WeathercockWeather`},
	} {
		t.Run(test.reason, func(t *testing.T) {
			o.Nursery = test.nursery
			_, err := DesignTray(batch, o)
			require.Error(t, err)
			require.Equal(t, test.says, err.Error()[:min(len(err.Error()), len(test.says))])
			var fault *Error
			require.ErrorAs(t, err, &fault)
			require.Zero(t, fault.Row)
		})
	}
	require.Equal(t, "row 3, note", Where{3, "note"}.String())
}

func TestDatesOnSlips(t *testing.T) {
	face := builtIn(t)
	batch := testBatch(t, "Amber", "Oak")
	for form, want := range map[records.DateForm][2]string{
		records.DateDay:     {"2026-11-25", "2026-12-16"},
		records.DateWeek:    {"2026-W48-3", "2026-W51-3"}, // computed: three weeks later
		records.DateOrdinal: {"2026-329", "2026-350"},     // computed: 21 days later
	} {
		o := testOptions(t, face, "letter-2x10", layouts.Flag, 8)
		o.Dates = form
		d, err := DesignStem(batch, o)
		require.NoError(t, err)
		slip, err := d.Label(17)
		require.NoError(t, err)
		require.Contains(t, strings.ReplaceAll(texts(slip), "|", "   "), want[0]+"   17 of 40")

		o = testOptions(t, face, "card-a6", 0, 0)
		o.Dates = form
		says := texts(designed(t, batch, o, 1))
		require.Contains(t, says, "Grafted "+want[0])
		require.Contains(t, says, "Check for new growth from "+want[1])
		require.Equal(t, form == records.DateDay, strings.Contains(says, "2026-11-25"))
	}
}
