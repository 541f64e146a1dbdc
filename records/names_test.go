package records

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// Each name of the table is printed as the codes of nomenclature have it; the
// reason names the article and how it was checked. Cultivars are invented.
func TestNames(t *testing.T) {
	rows := nameTable(t)
	require.GreaterOrEqual(t, len(rows), 200)
	traps := 0
	for _, row := range rows {
		name, want, doubt, reason := row[0], row[1], row[2], row[4]
		if row[3] == "trap" {
			traps++
		}
		t.Run(name, func(t *testing.T) {
			var marked strings.Builder
			for _, part := range ParseName(name) {
				if part.Kind == Latin {
					text := strings.TrimLeft(part.Text, " ")
					marked.WriteString(part.Text[:len(part.Text)-len(text)] + "*" + text + "*")
					continue
				}
				marked.WriteString(part.Text)
			}
			require.Equal(t, want, marked.String(), reason)
			require.Equal(t, strings.ReplaceAll(want, "*", ""), Quoted(name), reason)
			require.Equal(t, map[string]Doubt{"-": Certain, "fancy": MaybeFancy, "latin": MaybeLatin}[doubt], settling{}.settle(name).doubt, reason)
		})
	}
	require.GreaterOrEqual(t, traps, 60)
}

// A name in quotation marks is a cultivar, whatever its words, and the same name.
func TestQuotedName(t *testing.T) {
	for _, row := range []struct{ reason, name, want string }{
		{"a cultivar needs no marks", "Amber Weathercock", "Amber Weathercock"},
		{"what looks botanical", "Rosa alba", "'Rosa alba'"},
		{"what may be a genus and its cultivar", "Rosa Mundula", "'Rosa Mundula'"},
		{"a code", "K.12", "'K.12'"},
		{"lower case", "blue lantern", "'blue lantern'"},
		{"a cultivar in marks of its own", "Acer palmatum 'Paper Lighthouse'", "Acer palmatum 'Paper Lighthouse'"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.Equal(t, row.want, QuotedName(row.name))
			require.Contains(t, Quoted(row.want), "‘")
			require.Equal(t, Key(row.name), Key(row.want))
		})
	}
}

func TestSettle(t *testing.T) {
	long := "Zzyxia " + strings.Repeat("k", MaxName-7)
	names := Names{Botanical: []string{"zzyx alba", "Malus", long}, Cultivars: []string{"ROSA alba", "Camellia Moon"}}
	rows := []*Draft{
		{Row: 2, Variety: "Rosa alba", Stock: "Zzyx alba"},
		{Row: 3, Variety: "Camellia Moon", Stock: "Malus"},
		{Row: 4, Variety: "Daphne", Stock: "Prunus Avium"},
		{Row: 6, Variety: "daphne", Stock: "Rosa multiflora"},
		{Row: 7, Variety: "'Erica'", Stock: long},
	}
	require.Equal(t, []string{
		"row 4: Daphne is printed as botanical; for a cultivar, type 'Daphne'; if it is botanical, list it in the settings under [names]",
		"row 4: Prunus Avium is printed as a cultivar; if Prunus is its genus, type Prunus 'Avium'; if not, type 'Prunus Avium'",
	}, names.Settle(rows))
	require.Equal(t, []string{"'Rosa alba' / _Zzyx alba_", "'Camellia Moon' / Malus", "Daphne / Prunus Avium", "daphne / Rosa multiflora", "'Erica' / " + long}, pairs(rows))
	require.Equal(t, "‘Rosa alba’ / Zzyx alba", Pair(rows[0].Variety, rows[0].Stock))

	var many []*Draft
	for i, name := range []string{"Malus", "Pyrus", "Malus", "Prunus", "Quercus", "Acer"} {
		many = append(many, &Draft{Row: 2 + i, Variety: "Amber", Stock: name})
	}
	require.Equal(t, []string{"rows 2-7: Malus, Pyrus, Prunus and 2 more are printed as botanical; for a cultivar, type 'Malus'; if it is botanical, list it in the settings under [names]"},
		Names{}.Settle(many))
}

// A long file is settled quickly: each name is checked once.
func BenchmarkSettle(b *testing.B) {
	rows := make([]*Draft, 100_000)
	for i := range rows {
		rows[i] = &Draft{Row: i + 2, Variety: fmt.Sprintf("Malus Lantern %d", i%5000), Stock: "Rosa multiflora"}
	}
	for b.Loop() {
		Names{Cultivars: []string{"Malus Lantern 7"}}.Settle(rows)
	}
}

func pairs(rows []*Draft) (all []string) {
	for _, row := range rows {
		all = append(all, row.Variety+" / "+row.Stock)
	}
	return all
}

// The parts hold what was typed, and marks around a name make a cultivar of it.
func FuzzParseName(f *testing.F) {
	for _, row := range nameTable(f) {
		f.Add(row[0])
	}
	f.Add("+ + + + + + x × 'a' ×")
	f.Fuzz(func(t *testing.T, name string) {
		if !utf8.ValidString(name) || strings.Join(strings.Fields(name), " ") != name || utf8.RuneCountInString(name) > MaxName {
			t.Skip() // names come in tidy, and not longer
		}
		printed := Quoted(name)
		require.NotContains(t, printed, "'")
		if !slices.Contains(strings.Fields(name), "x") { // it may stand for ×
			require.Equal(t, lastLetter(name), lastLetter(printed))
		}
		if name != "" && !strings.ContainsAny(name, `'‘’"“”_`) {
			require.Contains(t, Quoted(QuotedName(name)), "‘")
			require.Equal(t, Key(name), Key(QuotedName(name)))
		}
	})
}

// lastLetter is the last letter or figure of a text.
func lastLetter(text string) string {
	end := strings.TrimRightFunc(text, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	r, _ := utf8.DecodeLastRuneInString(end)
	return string(r)
}

func BenchmarkQuoted(b *testing.B) {
	for _, name := range []string{"Amber Weathercock", "Pinus mugo var. pumilio", "Acer palmatum 'Paper Lighthouse'", "K.12"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Quoted(name)
			}
		})
	}
}

func nameTable(t testing.TB) [][]string {
	t.Helper()
	text, err := os.ReadFile("testdata/names.tsv")
	require.NoError(t, err)
	var rows [][]string
	for line := range strings.Lines(string(text)) {
		rows = append(rows, strings.Split(strings.TrimSuffix(line, "\n"), "\t"))
	}
	return rows[1:]
}

// Scion / rootstock, separated by a diagonal bar: American Pomological Society,
// Fruit Varieties and Horticultural Digest 15(1):15, 1960. seen
func TestPair(t *testing.T) {
	require.Equal(t, "‘Amber’ / Rosa multiflora", Pair("Amber", "Rosa multiflora"))
}
