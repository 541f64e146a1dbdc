package lookup

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/testdata/long"
)

// batchesOf are batches with names, each grafted a day before the next.
func batchesOf(t testing.TB, drafts ...records.Draft) []records.Batch {
	t.Helper()
	var all []records.Batch
	for i, draft := range drafts {
		draft.Date = time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i)
		code, err := codes.New(draft.Date, 1)
		require.NoError(t, err)
		all = append(all, records.Batch{Code: code, Draft: draft})
	}
	return all
}

func TestSearch(t *testing.T) {
	batches := batchesOf(t,
		records.Draft{Variety: "Blue Lantern", Stock: "Marlpit Hedge", Source: "House bed 2", Grafter: "IV"},
		records.Draft{Variety: "Crème de l’Étang", Stock: "Thornless Drover", Note: "soft wood"},
		records.Draft{Variety: "Old Blue Lantern", Stock: "Anchor"},
		records.Draft{Variety: "Anchor", Stock: "Rosa ×dykeana", Source: "Marlpit nursery"},
		records.Draft{Variety: "Half-Moon Kettle", Stock: "K.12"},
		records.Draft{Variety: "Sterre Øst", Stock: "Straße Grün", Note: "seedling of 2024"},
		records.Draft{Variety: "Заря Полевая", Stock: "Kestrel's Lace", Grafter: "Weaver"},
	)
	batches[4].Amendments = []records.Amendment{
		{Changes: []records.Change{{Field: "date", Was: "2026-11-05", Is: "2026-11-06"}, {Field: "variety", Was: "Quince Moth", Is: "Half-Moon Kettle"}, {Field: "stock", Was: "Anchor", Is: "K.12"}}},
	}
	names := NamesOf(batches)
	for _, row := range []struct {
		reason, text string
		found        []int // in this order
		like         bool
	}{
		{"the name", "Marlpit Hedge", []int{0}, false},
		{"a whole name before part of one, though older", "blue lantern", []int{0, 2}, false},
		{"a name that is a stock elsewhere: the newest first", "anchor", []int{3, 2}, false},
		{"the beginning of a word before its inside, though older", "lant", []int{2, 0}, false},
		{"parts of words in any order", "lant blu", []int{2, 0}, false},
		{"words of different fields", "blue marlpit", []int{0}, false},
		{"inside a word", "ntern", []int{2, 0}, false},
		{"a source", "house bed", []int{0}, false},
		{"a source before a stock, being newer", "marlpit", []int{3, 0}, false},
		{"a note", "SOFT", []int{1}, false},
		{"a grafter", "iv", []int{0}, false},
		{"a name that old labels have", "quince moth", []int{4}, true},
		{"where another has it now, that one alone", "anchor", []int{3, 2}, false},
		{"a day is no name", "2026-11", nil, true},
		{"as the labels have it", "‘Blue Lantern’ / ‘Marlpit Hedge’", []int{0}, false},
		{"in double quotation marks", `"Marlpit" "Hedge"`, []int{0}, false},
		{"without accents", "creme de letang", []int{1}, false},
		{"accents of two characters", "cre\u0300me", []int{1}, false},
		{"a word after an apostrophe", "etang", []int{1}, false},
		{"an apostrophe left out", "kestrels", []int{6}, false},
		{"letters that are no accents of others", "ost strasse grun", []int{5}, false},
		{"a hyphen for a space", "blue-lantern", []int{0, 2}, false},
		{"a space for a hyphen", "half moon", []int{4}, false},
		{"the hybrid sign", "rosa × dykeana", []int{3}, false},
		{"an x for the hybrid sign", "rosa x dykeana", []int{3}, false},
		{"the name of a clone", "K.12", []int{4}, false},
		{"the same without its stop", "k12", []int{4}, false},
		{"other letters than Latin ones", "полевая", []int{6}, false},
		{"a letter that is wrong", "marlpat", []int{3, 0}, true},
		{"a letter that is missing", "marpit", []int{3, 0}, true},
		{"a letter too many", "marlpiit", []int{3, 0}, true},
		{"a letter too many at the end", "lanternn", []int{2, 0}, true},
		{"two letters swapped", "mralpit", []int{3, 0}, true},
		{"the first letter wrong", "narlpit", []int{3, 0}, true},
		{"a wrong letter in each of two words", "blau lantren", []int{2, 0}, true},
		{"a wrong letter in the beginning of a word", "marlo hedge", []int{0}, true},
		{"an umlaut written as two letters", "gruen", []int{5}, true},
		{"words that run together", "bluelantern", []int{2, 0}, true},
		{"two wrong letters", "mirlpat", nil, true},
		{"a short word must be right", "blo", nil, true},
		{"another number", "seedling 2025", nil, true},
		{"one word of two", "blue kestrel", nil, true},
		{"part of two words", "uela", []int{2, 0}, true},
		{"nothing but signs", "‘ / ’", nil, false},
	} {
		t.Run(row.reason, func(t *testing.T) {
			found, like := names.Search(row.text)
			require.Equal(t, row.found, found)
			require.Equal(t, row.like, like)
		})
	}
}

// Every batch is found by any three letters of a name, and by a name with one letter of a long
// word changed, left out, doubled or swapped with its neighbour.
func TestEveryBatchIsFound(t *testing.T) {
	chance := rand.New(rand.NewPCG(13, 1))
	tried, others := 0, 0
	for range long.Cases(20, 400) {
		var drafts []records.Draft
		for range 30 {
			drafts = append(drafts, records.Draft{Variety: invented(chance), Stock: invented(chance), Source: invented(chance), Grafter: "OR", Note: invented(chance)})
		}
		batches := batchesOf(t, drafts...)
		names := NamesOf(batches)
		for i, batch := range batches {
			for _, name := range namesIn(batch) {
				letters := []rune(name)
				for at := range len(letters) - 2 {
					found, like := names.Search(string(letters[at : at+3]))
					require.Contains(t, found, i, "%q of %q", string(letters[at:at+3]), name)
					require.False(t, like)
				}
				if name == batch.Grafter { // too short to be mistyped
					continue
				}
				wrong := mistyped(chance, name)
				found, like := names.Search(wrong)
				tried++
				if !like && !slices.Contains(found, i) {
					others++ // it is part of another name
					continue
				}
				require.Contains(t, found, i, "%q for %q", wrong, name)
			}
		}
	}
	require.Less(t, others, tried/100)
}

// invented is a name of one to four words, most of them with five letters or more.
func invented(chance *rand.Rand) string {
	letters := []rune("aeiouàéîöūbcdfghjklmnprstvwzđøжя")
	var words []string
	for range 1 + chance.IntN(4) {
		word := make([]rune, 2+chance.IntN(9))
		for i := range word {
			word[i] = letters[chance.IntN(len(letters))]
		}
		words = append(words, string(unicode.ToUpper(word[0]))+string(word[1:]))
	}
	return strings.Join(append(words, "Kettlemere"), []string{" ", "-", " × "}[chance.IntN(3)])
}

// mistyped is a name with one thing wrong in a word of five letters or more.
func mistyped(chance *rand.Rand, name string) string {
	words := strings.Fields(strings.ReplaceAll(name, "-", " "))
	long := slices.DeleteFunc(slices.Clone(words), func(word string) bool { return utf8.RuneCountInString(word) < 5 })
	word := long[chance.IntN(len(long))]
	letters := []rune(word)
	at := chance.IntN(len(letters) - 1)
	switch chance.IntN(4) {
	case 0:
		letters[at] = 'x'
	case 1:
		letters = slices.Delete(letters, at, at+1)
	case 2:
		letters = slices.Insert(letters, at, letters[at])
	default:
		letters[at], letters[at+1] = letters[at+1], letters[at]
	}
	words[slices.Index(words, word)] = string(letters)
	return strings.Join(words, " ")
}

// nurseryOf are batches of ten seasons as a nursery has them: 2,000 varieties on 200 stocks, from
// 300 sources by 12 people, and one in four with a note that no other has.
func nurseryOf(t testing.TB, number int) []records.Batch {
	t.Helper()
	chance := rand.New(rand.NewPCG(13, 2))
	some := func(n int) []string {
		all := make([]string, n)
		for i := range all {
			all[i] = invented(chance)
		}
		return all
	}
	varieties, stocks, sources, grafters := some(2000), some(200), some(300), some(12)
	pick := func(of []string) string { return of[chance.IntN(len(of))] }
	batches := make([]records.Batch, number)
	for i := range batches {
		day := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i/10)
		code, err := codes.New(day, 1+i%10)
		require.NoError(t, err)
		batches[i] = records.Batch{Code: code, Draft: records.Draft{Date: day, Variety: pick(varieties), Stock: pick(stocks), Source: pick(sources), Grafter: pick(grafters), Grafts: 30, TraySize: 15}}
		if i%4 == 0 {
			batches[i].Note = invented(chance) + " " + invented(chance)
		}
	}
	return batches
}

// BenchmarkSearch searches the names of 20,000 batches (nurseryOf), and makes them ready for it.
func BenchmarkSearch(b *testing.B) {
	batches := nurseryOf(b, 20_000)
	names := NamesOf(batches)
	b.Run("names made ready", func(b *testing.B) {
		for b.Loop() {
			NamesOf(batches)
		}
	})
	variety, stock := batches[9_000].Variety, batches[9_000].Stock
	for _, row := range []struct{ name, text string }{
		{"a part of one word", string([]rune(variety)[:4])},
		{"a word that all batches have", "kettlemere"},
		{"a variety and a stock", variety + " " + stock},
		{"a letter wrong in each of two words", strings.Replace(variety, "K", "X", 1) + " kettlemear"},
		{"no batch", "quinquereme of nineveh"},
	} {
		b.Run(row.name, func(b *testing.B) {
			found := 0
			for b.Loop() {
				all, _ := names.Search(row.text)
				found = len(all)
			}
			b.ReportMetric(float64(found), "found")
		})
	}
	b.Run("the nearest name", func(b *testing.B) {
		for b.Loop() {
			names.None("quinquereme of nineveh")
		}
	})
}

// Any name finds its batch, unless it has only signs; and it is always told from codes the
// same way.
func FuzzNames(f *testing.F) {
	for _, name := range []string{"Blue Lantern", "l’Étang", "K.12", "Rosa × dykeana", "Straße", "ﬁ İ", "\xff", "e\u0301e", " ", "‘’", "x̌×", "26313-001-90?1-23"} {
		f.Add(name, "Lantern")
	}
	f.Fuzz(func(t *testing.T, name, other string) {
		batches := []records.Batch{{Draft: records.Draft{Variety: other}}, {Draft: records.Draft{Note: name}}}
		names := NamesOf(batches)
		found, like := names.Search(name)
		if strings.ContainsFunc(nameOf(name).joined, unicode.IsLetter) {
			require.Contains(t, found, 1)
			require.False(t, like)
		}
		found, _ = names.Search(other)
		require.LessOrEqual(t, len(found), len(batches))
		require.LessOrEqual(t, len(names.Nearest(name)), 3)
		if text := Parse(name); text.Form == Name {
			require.Error(t, text.Invalid)
			require.False(t, LikeCode(name))
		}
	})
}
