package manifest_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

var graftDay = time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)

func TestRead(t *testing.T) {
	ada := records.Draft{Row: 2, Date: graftDay, Variety: "Ada", Stock: "Fen", Grafts: 40}
	with := func(change func(*records.Draft)) []records.Draft {
		draft := ada
		change(&draft)
		return []records.Draft{draft}
	}
	for _, row := range []struct {
		reason, text string
		options      manifest.Options
		drafts       []records.Draft
		hints        []string
	}{
		{reason: "commas", text: "date,variety,stock,grafts\n2026-11-25,Ada,Fen,40\n", drafts: []records.Draft{ada}},
		{reason: "no line feed at the end", text: "date,variety,stock,grafts\n2026-11-25,Ada,Fen,40", drafts: []records.Draft{ada}},
		{reason: "carriage returns and line feeds", text: "date,variety,stock,grafts\r\n2026-11-25,Ada,Fen,40\r\n", drafts: []records.Draft{ada}},
		{reason: "carriage returns alone", text: "date,variety,stock,grafts\r2026-11-25,Ada,Fen,40\r", drafts: []records.Draft{ada}},
		{reason: "byte order mark", text: "\xef\xbb\xbfdate,variety,stock,grafts\n2026-11-25,Ada,Fen,40\n", drafts: []records.Draft{ada}},
		{reason: "byte order mark and quoted header", text: "\xef\xbb\xbf\"date\",\"variety\",\"stock\",\"grafts\"\n2026-11-25,Ada,Fen,40\n", drafts: []records.Draft{ada}},
		{reason: "semicolons, with commas inside cells", text: "date;variety;stock;grafts;note, free\n2026-11-25;Ada;Fen;40;a, b, c, d, e\n", drafts: []records.Draft{ada},
			hints: []string{`column "note, free" is not used`}},
		{reason: "semicolons, with more commas inside a quoted header", text: "date;variety;stock;grafts;\"a,b,c,d,e,f\"\n2026-11-25;Ada;Fen;40;\n", drafts: []records.Draft{ada},
			hints: []string{`column "a,b,c,d,e,f" is not used`}},
		{reason: "tabs", text: "date\tvariety\tstock\tgrafts\tsource\tnote\n2026-11-25\tAda\tFen\t40\t\ta, b; c\n", drafts: with(func(d *records.Draft) { d.Note = "a, b; c" })},
		{reason: "spaces after commas, before quotation marks too", text: "date, variety, stock, grafts\n2026-11-25, \"Ada\", Fen,  40\n", drafts: []records.Draft{ada}},
		{reason: "header in another order, in any case, spaced", text: " GRAFTS ,Stock,\"\nVariety \",DATE\n40,Fen,Ada,2026-11-25\n", drafts: []records.Draft{ada}},
		{reason: "columns that are not used", text: "colour,date,variety,stock,,grafts,,\nred,2026-11-25,Ada,Fen,,40,x,\n", drafts: []records.Draft{ada},
			hints: []string{`column "colour" is not used`, "column G has no name and is not used"}},
		{reason: "fewer cells than columns", text: "date,variety,stock,grafts,source,note\n2026-11-25,Ada,Fen,40\n", drafts: []records.Draft{ada}},
		{reason: "empty cells beyond the header", text: "date,variety,stock,grafts\n2026-11-25,Ada,Fen,40,,, \n", drafts: []records.Draft{ada}},
		{reason: "rows of empty cells are skipped and counted", text: "\n,,,\ndate,variety,stock,grafts\n,,,\n\n  \n2026-11-25,Ada,Fen,40\n", drafts: with(func(d *records.Draft) { d.Row = 7 })},
		{reason: "no date column, default given", text: "variety,stock,grafts\nAda,Fen,40\n",
			options: manifest.Options{Date: time.Date(2026, time.November, 25, 23, 30, 0, 0, time.FixedZone("UTC-10", -10*60*60))}, drafts: []records.Draft{ada}},
		{reason: "empty date cell, default given", text: "date,variety,stock,grafts\n,Ada,Fen,40\n", options: manifest.Options{Date: graftDay}, drafts: []records.Draft{ada}},
		{reason: "a date beats the default", text: "date,variety,stock,grafts\n2026-11-25,Ada,Fen,40\n", options: manifest.Options{Date: graftDay.AddDate(0, 0, 3)}, drafts: []records.Draft{ada}},
		{reason: "29 February of a leap year", text: "date,variety,stock,grafts\n2028-02-29,Ada,Fen,40\n", drafts: with(func(d *records.Draft) { d.Date = time.Date(2028, time.February, 29, 0, 0, 0, 0, time.UTC) })},
		{reason: "every column", text: "date,variety,stock,grafts,source,tray,stem,grafter,wrap,note\n2026-11-25,Ada,Fen,8999,House bed 2,10,5/16in,MK,Flag,\"with \"\"two\"\" eyes, cut\nat noon\"\n",
			drafts: []records.Draft{{Row: 2, Date: graftDay, Variety: "Ada", Stock: "Fen", Grafts: 8999, Source: "House bed 2", TraySize: 10, Stem: 7.9375,
				Grafter: "MK", Wrap: layouts.Flag, Note: `with "two" eyes, cut at noon`}}},
		{reason: "smallest values", text: "date,variety,stock,grafts,tray,stem\n2000-01-01,A,B,1,1,1mm\n",
			drafts: []records.Draft{{Row: 2, Date: time.Date(2000, time.January, 1, 0, 0, 0, 0, time.UTC), Variety: "A", Stock: "B", Grafts: 1, TraySize: 1, Stem: 1}}},
		{reason: "largest values", text: "date,variety,stock,grafts,tray,stem\n2099-12-31," + strings.Repeat("é", 60) + ",B,8999,8999,60mm\n",
			drafts: []records.Draft{{Row: 2, Date: time.Date(2099, time.December, 31, 0, 0, 0, 0, time.UTC), Variety: strings.Repeat("é", 60), Stock: "B", Grafts: 8999, TraySize: 8999, Stem: 60}}},
		{reason: "three spellings of not known are names and notes like others", text: "date,variety,stock,grafts,source,note\n2026-11-25,Ada,Fen,40,n/a,-\n",
			drafts: with(func(d *records.Draft) { d.Source, d.Note = "n/a", "-" })},
	} {
		t.Run(row.reason, func(t *testing.T) {
			read, messages := faultsOf(t, row.text, row.options)
			require.Empty(t, messages)
			require.Equal(t, row.drafts, read.Drafts)
			require.Equal(t, row.hints, read.Hints)
		})
	}
}

func TestNames(t *testing.T) {
	for _, row := range []struct{ reason, cell, name string }{
		{"single marks", "'Ada Lantern'", "Ada Lantern"},
		{"curly single marks", "‘Ada Lantern’", "Ada Lantern"},
		{"double marks", `"""Ada Lantern"""`, "Ada Lantern"},
		{"curly double marks", "“Ada”", "Ada"},
		{"French marks and their spaces", "«\u00a0Ada\u202f»", "Ada"},
		{"German marks", "„Ada“", "Ada"},
		{"German single marks", "‚Ada‘", "Ada"},
		{"Polish marks", "„Ada”", "Ada"},
		{"Danish marks", "»Ada«", "Ada"},
		{"Swedish marks", "”Ada”", "Ada"},
		{"Japanese marks", "「Ada」", "Ada"},
		{"marks within marks", "“'Ada'”", "Ada"},
		{"marks around a part stay", "Acer 'Ada'", "Acer 'Ada'"},
		{"marks at one end stay", "'Ada", "'Ada"},
		{"marks stay where the name would be read otherwise", "“Rosa alba”", "'Rosa alba'"},
		{"and around a code", "'K.12'", "'K.12'"},
		{"a hybrid sign within them", "'Rosa x alba'", "'Rosa × alba'"},
		{"two quoted names stay", "'Ada' × 'Ben'", "'Ada' × 'Ben'"},
		{"two quoted names without spaces stay", "'Ada'×'Ben'", "'Ada'×'Ben'"},
		{"two quoted names in French marks stay", "«Ada» × «Ben»", "«Ada» × «Ben»"},
		{"an apostrophe inside marks is kept", "'Reine d'Ambre'", "Reine d'Ambre"},
		{"an apostrophe before a space inside marks is kept", "'Weavers' Candle'", "Weavers' Candle"},
		{"an apostrophe without marks is kept", "Reine d'Ambre", "Reine d'Ambre"},
		{"an apostrophe at the beginning is kept", "'t Hof", "'t Hof"},
		{"an apostrophe at the beginning inside marks is kept", "''t Hof'", "'t Hof"},
		{"marks that do not belong together stay", "«Ada“", "«Ada“"},
		{"one mark alone is a name of a kind", "'", "'"},
		{"white space of every kind becomes one space", "  Ada\t\u00a0 \u3000Lantern\u2003", "Ada Lantern"},
		{"a line break in a cell becomes a space", "\"Ada\nLantern\"", "Ada Lantern"},
		{"combining accents are composed", norm.NFD.String("Été Ångström"), "Été Ångström"},
		{"the hybrid sign", "Rosa ×ambra", "Rosa ×ambra"},
		{"Greek and Cyrillic", "Αυγή Заря", "Αυγή Заря"},
		{"a backslash and markup are only characters", `<b>\n%s`, `<b>\n%s`},
	} {
		t.Run(row.reason, func(t *testing.T) {
			read, messages := faultsOf(t, "date,variety,stock,grafts\n2026-11-25,"+row.cell+","+row.cell+",1\n", manifest.Options{})
			require.Empty(t, messages)
			require.Equal(t, row.name, read.Drafts[0].Variety)
			require.Equal(t, row.name, read.Drafts[0].Stock)
		})
	}
}

// Only a variety and a stock lose their marks.
func TestNotesKeepTheirMarks(t *testing.T) {
	read, messages := faultsOf(t, "date,variety,stock,grafts,source,grafter,note\n2026-11-25,'Ada','Fen',1,'a','b','c'\n", manifest.Options{})
	require.Empty(t, messages)
	draft := read.Drafts[0]
	require.Equal(t, []string{"'a'", "'b'", "'c'"}, []string{draft.Source, draft.Grafter, draft.Note})
}

func TestDemoSession(t *testing.T) {
	data, err := os.ReadFile("../../testdata/demo/session.csv")
	require.NoError(t, err)
	read, messages := faultsOf(t, string(data), manifest.Options{})
	require.Empty(t, messages)
	require.Empty(t, read.Hints)
	require.GreaterOrEqual(t, len(read.Drafts), 14)
	stems, longest, twoWords := 0, 0, 0
	for _, draft := range read.Drafts {
		require.Equal(t, graftDay, draft.Date)
		stems += draft.Grafts
		longest = max(longest, len([]rune(draft.Variety)))
		if strings.Contains(draft.Stock, " ") {
			twoWords++
		}
	}
	require.InDelta(t, 600, stems, 30)
	require.GreaterOrEqual(t, longest, 28)
	require.GreaterOrEqual(t, twoWords, 3)
	for _, wanted := range []string{"×", "ñ", "Α", "З", "'"} {
		require.Contains(t, string(data), wanted)
	}
}
