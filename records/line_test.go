package records_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// lineRecord is the record of tray 2 of a batch of whose columns all are
// filled in.
func lineRecord(t testing.TB) records.Record {
	t.Helper()
	code, err := codes.New(day(2026, time.November, 25), 1)
	require.NoError(t, err)
	tray, err := code.Tray(2)
	require.NoError(t, err)
	return records.Record{Code: tray, Batch: records.Batch{Code: code, Draft: records.Draft{
		Date: code.Date(), Variety: "Amber Weathercock", Stock: "Marlpit Hedge", Grafts: 60, TraySize: 30,
		Source: "House bed 2", Stem: 7, Grafter: "IV", Wrap: layouts.Flag, Note: "two eyes",
	}}}
}

const fullLine = "26329-001-9002-58 Amber Weathercock / Marlpit Hedge; 60 grafts; 30 a tray; tray 2 of 2: stems 31-60; " +
	"source House bed 2; by IV; stem 7 mm; flag; note two eyes"

func TestLine(t *testing.T) {
	for _, test := range []struct {
		reason string
		change func(*records.Record)
		want   string
	}{
		{"everything said", func(*records.Record) {}, fullLine},
		{"nothing said", func(r *records.Record) {
			r.Batch.Draft = records.Draft{Date: r.Batch.Date, Variety: "Amber", Stock: "Oak", Grafts: 1}
			r.Code, _ = r.Batch.Code.Tray(1)
		}, "26329-001-9001-61 Amber / Oak; 1 graft; tray 1 of 1: stem 1"},
		{"a stem", func(r *records.Record) { r.Code, _ = r.Batch.Code.Stem(17) },
			strings.Replace(strings.Replace(fullLine, "9002-58", "0017-47", 1), "tray 2 of 2: stems 31-60", "stem 17 of 60", 1)},
		{"a batch", func(r *records.Record) { r.Code = r.Batch.Code },
			strings.Replace(strings.Replace(fullLine, "9002-58", "0000-98", 1), "tray 2 of 2: stems 31-60; ", "", 1)},
		{"signs that part the line", func(r *records.Record) {
			r.Batch.Variety, r.Batch.Stock, r.Batch.Note = `A / B; C\`, `D/E`, `1/2; 3\4, "5"`
			r.Batch.Source, r.Batch.Grafter, r.Batch.Stem, r.Batch.Wrap = "", "", 0, 0
		}, `26329-001-9002-58 A \/ B\; C\\ / D\/E; 60 grafts; 30 a tray; tray 2 of 2: stems 31-60; note 1/2\; 3\\4, "5"`},
		{"an inch in mm", func(r *records.Record) { r.Batch.Stem = 5 * 25.4 / 16 }, strings.Replace(fullLine, "7 mm", "7.9375 mm", 1)},
		{"a graft date that was amended", func(r *records.Record) { r.Batch.Date = day(2026, time.November, 28) },
			strings.Replace(fullLine, "60 grafts", "grafted 2026-11-28; 60 grafts", 1)},
		{"a source that reads like another part", func(r *records.Record) { r.Batch.Source = "30 a tray" },
			strings.Replace(fullLine, "House bed 2", "30 a tray", 1)},
	} {
		t.Run(test.reason, func(t *testing.T) {
			record := lineRecord(t)
			test.change(&record)
			require.Equal(t, test.want, records.Line(record))
			parsed, err := records.ParseLine(test.want)
			require.NoError(t, err)
			require.Equal(t, record, parsed)
		})
	}
}

func TestParseLineRefuses(t *testing.T) {
	changed := func(old, new string) string {
		require.Contains(t, fullLine, old)
		return strings.Replace(fullLine, old, new, 1)
	}
	for _, test := range []struct{ reason, text, says string }{
		{"nothing", "", "not a batch code"},
		{"a code alone", "26329-001-9002-58", "it does not name scion and rootstock"},
		{"a wrong digit", changed("9002", "9003"), "the check digits do not match"},
		{"a code in another form", changed("26329-001-9002-58", "26329001900258"), "it should read"},
		{"one name", changed("Amber Weathercock / ", ""), "it does not name scion and rootstock"},
		{"three names", changed("Marlpit", "Marl / pit"), "it should read"},
		{"no name before the bar", changed("Amber Weathercock", ""), "a name is missing"},
		{"no name behind the bar", changed("Marlpit Hedge", ""), "a name is missing"},
		{"a name of 61 characters", changed("Marlpit Hedge", strings.Repeat("é", 61)), "has more than 60 characters"},
		{"a note of 121 characters", changed("two eyes", strings.Repeat("é", 121)), "has more than 120 characters"},
		{"a line that ends early", "26329-001-9002-58 A / B", `it has "" instead of 1 to 8999 grafts`},
		{"the graft date of the code", changed("60 grafts", "grafted 2026-11-25; 60 grafts"), `"2026-11-25" is not a valid amended date`},
		{"a graft date that does not exist", changed("60 grafts", "grafted 2026-11-31; 60 grafts"), `"2026-11-31" is not a valid amended date`},
		{"a graft date that no code has", changed("60 grafts", "grafted 1999-12-31; 60 grafts"), `"1999-12-31" is not a valid amended date`},
		{"a graft date behind the grafts", changed("60 grafts", "60 grafts; grafted 2026-11-28"), "it has the code of tray 2, but only 60 grafts in 1 tray"},
		{"no grafts", changed("60 grafts", "0 grafts"), `it has "0 grafts" instead of 1 to 8999 grafts`},
		{"too many grafts", changed("60 grafts", "9000 grafts"), "instead of 1 to 8999 grafts"},
		{"a leading zero", changed("60 grafts", "060 grafts"), "instead of 1 to 8999 grafts"},
		{"one graft in the plural", changed("60 grafts", "1 grafts"), "instead of 1 to 8999 grafts"},
		{"a tray of none", changed("30 a tray", "0 a tray"), `"0" is not a tray size`},
		{"a tray too large", changed("30 a tray", "9000 a tray"), `"9000" is not a tray size`},
		{"a tray larger than any number", changed("30 a tray", strings.Repeat("9", 30)+" a tray"), "is not a tray size"},
		{"a tray with a leading zero", changed("30 a tray", "030 a tray"), "it should read"},
		{"another tray than the code's", changed("tray 2 of 2", "tray 1 of 2"), `it has "tray 1 of 2: stems 31-60", but its code and numbers give "tray 2 of 2: stems 31-60"`},
		{"other stems than the numbers give", changed("31-60", "31-61"), `but its code and numbers give "tray 2 of 2: stems 31-60"`},
		{"fewer trays than the code's", changed("30 a tray", "60 a tray"), "it has the code of tray 2, but only 60 grafts in 1 tray"},
		{"more trays than a batch has", changed("60 grafts; 30 a tray", "8999 grafts; 9 a tray"), "a batch cannot have 1000 trays"},
		{"no words about the tray", changed("tray 2 of 2: stems 31-60; ", ""), `it has "source House bed 2", but its code and numbers give`},
		{"a stem beyond the grafts", "26329-001-0017-47 A / B; 16 grafts; stem 17 of 16", "it has the code of stem 17, but only 16 grafts in 1 tray"},
		{"parts in another order", changed("source House bed 2; by IV", "by IV; source House bed 2"), `the part "source House bed 2" is unknown or in the wrong place`},
		{"a part twice", changed("by IV", "by IV; by IV"), `the part "by IV" is unknown or in the wrong place`},
		{"a part of a later day", fullLine + "; rights 2031-04-01", `the part "rights 2031-04-01" is unknown or in the wrong place`},
		{"a part without a value", changed("by IV", "by "), `the part "by " is unknown or in the wrong place`},
		{"an end that is no end", fullLine + ";", `the part "" is unknown or in the wrong place`},
		{"a part run into another", changed("; by IV", ";by IV"), "it should read"},
		{"an unnamed wrap", changed("flag", "pennant"), `the part "pennant" is unknown or in the wrong place`},
		{"a stem too thin", changed("7 mm", "0.9 mm"), `"0.9" is not the diameter of a stem, 1 to 60 mm`},
		{"a stem too thick", changed("7 mm", "61 mm"), "is not the diameter of a stem"},
		{"a stem that is no number", changed("7 mm", "NaN mm"), "is not the diameter of a stem"},
		{"an exponent", changed("7 mm", "7e0 mm"), "it should read"},
		{"another unit", changed("7 mm", "7 in"), `the part "stem 7 in" is unknown or in the wrong place`},
		{"a backslash that does nothing", changed("eyes", `e\yes`), "it should read"},
		{"a backslash at the end", fullLine + `\`, "it should read"},
		{"two spaces", changed("two eyes", "two  eyes"), `"two  eyes" has an extra space`},
		{"a space at the end", fullLine + " ", "has an extra space"},
		{"a line break", changed("two eyes", "two\neyes"), "a record cannot hold the character U+000A"},
		{"a tab", changed("two eyes", "two\teyes"), "a record cannot hold the character U+0009"},
		{"a control character", changed("two eyes", "two \x1d eyes"), "a record cannot hold the character U+001D"},
		{"an invisible character", changed("eyes", "e\u200byes"), "a record cannot hold the character U+200B"},
		{"a space that does not break", changed("two eyes", "two\u00a0eyes"), "a record cannot hold the character U+00A0"},
		{"a character that cannot be set", changed("eyes", "eyes 🌱"), "a record cannot hold the character U+1F331"},
		{"a character that was lost", changed("eyes", "\ufffdyes"), "a record cannot hold the character U+FFFD"},
		{"other bytes than UTF-8", changed("eyes", "\xe9yes"), "it is not UTF-8"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			record, err := records.ParseLine(test.text)
			require.ErrorContains(t, err, test.says)
			require.NotEmpty(t, hintOf(err))
			require.Zero(t, record)
		})
	}
}

// Some phones hand on é as an e and an accent.
func TestParseLineNormalises(t *testing.T) {
	record := lineRecord(t)
	record.Batch.Variety = "Crème de l'Étang"
	apart := strings.NewReplacer("è", "e\u0300", "É", "E\u0301").Replace(records.Line(record))
	require.NotEqual(t, records.Line(record), apart)
	parsed, err := records.ParseLine(apart)
	require.NoError(t, err)
	require.Equal(t, record, parsed)
}

// Records of every kind and with every sign in their names come back as they
// were.
func TestLinesRoundTrip(t *testing.T) {
	random := rand.New(rand.NewPCG(9, 10))
	letters := []rune(`AaBb  ;;,/\\ '"‘’“”×.:-01éßøČ月Ωя½&+()=%#?` + "\u0338\ue000")
	words := func(most int) string {
		text := make([]rune, random.IntN(most+1))
		for i := range text {
			text[i] = letters[random.IntN(len(letters))]
		}
		return norm.NFC.String(strings.Join(strings.Fields(string(text)), " "))
	}
	name := func() string {
		for {
			if text := words(60); text != "" {
				return text
			}
		}
	}
	maybe := func() string {
		if random.IntN(3) == 0 {
			return ""
		}
		return []string{words(120), "30 a tray", "flag", "by IV", "stem 7 mm", "note ; ", "tray 1 of 1: stem 1"}[random.IntN(7)]
	}
	kinds := map[codes.Kind]int{}
	for range 20_000 {
		code, err := codes.New(day(2000+random.IntN(100), time.January, 1+random.IntN(366)), 1+random.IntN(codes.MaxBatch))
		if err != nil {
			continue // the 366th day of 2099
		}
		batch := records.Batch{Code: code, Draft: records.Draft{
			Date: code.Date(), Variety: name(), Stock: name(), Grafts: 1 + random.IntN(codes.MaxStem),
			Source: strings.TrimSpace(maybe()), Grafter: strings.TrimSpace(maybe()), Note: strings.TrimSpace(maybe()), Wrap: layouts.Wrap(random.IntN(4)),
		}}
		switch random.IntN(3) {
		case 0:
			batch.TraySize = (batch.Grafts+codes.MaxTray-1)/codes.MaxTray + random.IntN(200)
			batch.Stem = 1 + 59*random.Float64()
		case 1:
			batch.Stem = float64(1 + random.IntN(60))
		}
		if random.IntN(3) == 0 {
			batch.Date = day(2000+random.IntN(100), time.March, 1+random.IntN(31))
		}
		record := records.Record{Batch: batch, Code: code}
		switch random.IntN(3) {
		case 0:
			record.Code, err = code.Stem(1 + random.IntN(batch.Grafts))
		case 1:
			record.Code, err = code.Tray(1 + random.IntN(batch.Trays()))
		}
		require.NoError(t, err)
		kinds[record.Code.Kind()]++
		line := records.Line(record)
		parsed, err := records.ParseLine(line)
		require.NoError(t, err)
		require.Equal(t, record, parsed, line)
	}
	for _, kind := range []codes.Kind{codes.Batch, codes.Stem, codes.Tray} {
		require.Greater(t, kinds[kind], 5000)
	}
}

// FuzzParseLine: no text makes ParseLine panic, and a record that it gives
// writes the line that it was read from.
func FuzzParseLine(f *testing.F) {
	for _, seed := range []string{
		fullLine, "", "26329-001-9002-58", "26329-001-9001-61 Amber / Oak; 1 graft; tray 1 of 1: stem 1",
		`26329-001-0000-98 A \/ B\; C\\ / D\/E; 60 grafts; note 1/2\; 3\\4`, "26329-001-0000-98 e\u0301 / =\u0338; 2 grafts; band",
		"26329-001-0017-47 A / B; 60 grafts; stem 17 of 60; source \u0338; stem 7.9375 mm", "26329-001-0000-98 A / B; 2 grafts; a tray; by \\",
		"26329-001-0000-98 A / B; grafted 2026-11-28; 60 grafts", "26329-001-0000-98 A / B; grafted 2026-11-25; 60 grafts",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		record, err := records.ParseLine(text)
		if err != nil {
			require.ErrorContains(t, err, "is not a valid record: ")
			require.NotEmpty(t, hintOf(err))
			require.Zero(t, record)
			return
		}
		line := records.Line(record)
		again, err := records.ParseLine(line)
		require.NoError(t, err)
		require.Equal(t, record, again)
		require.Equal(t, record.Code.Whole(), record.Batch.Code)
		if !strings.Contains(line, "; grafted ") {
			require.Equal(t, record.Code.Date(), record.Batch.Date)
		}
		require.NotContains(t, line, "\n")
	})
}

func BenchmarkParseLine(b *testing.B) {
	for b.Loop() {
		if _, err := records.ParseLine(fullLine); err != nil {
			b.Fatal(err)
		}
	}
}
