package records_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"graftslip/records"
)

func mistyped(name, other string) bool {
	return records.SpellingOf(name).Mistyped(records.SpellingOf(other))
}

func TestMistyped(t *testing.T) {
	for _, row := range []struct {
		reason, name, other string
		mistyped            bool
	}{
		{"a letter left out", "Amber Weathercok", "Amber Weathercock", true},
		{"two letters exchanged", "Amber Waethercock", "Amber Weathercock", true},
		{"two slips in a long word", "Amber Waethercok", "Amber Weathercock", true},
		{"an accent left out", "Etoile Grise", "Étoile Grise", true},
		{"a space left out", "AmberWeathercock", "Amber Weathercock", true},
		{"a space for the stop of a clone", "K 12", "K.12", true},
		{"a slip in a short word", "Rde Lantern", "Red Lantern", true},
		{"the same name in other letter case", "amber weathercock", "Amber Weathercock", false},
		{"another number", "Blue Lantern 2", "Blue Lantern 3", false},
		{"a number where there was none", "Blue Lantern", "Blue Lantern 2", false},
		{"digits exchanged may be another clone", "K.12", "K.21", false},
		{"digits parted elsewhere", "K 1.12", "K 11.2", false},
		{"another clone", "K.12", "K.13", false},
		{"a numeral", "Red Lantern", "Red Lanterns II", false},
		{"another numeral", "Red Lantern II", "Red Lantern III", false},
		{"a letter that numbers", "Lantern A", "Lantern B", false},
		{"another short word", "Red Lantern", "Bed Lantern", false},
		{"a word more", "Red Lantern", "Dark Red Lantern", false},
		{"another word", "Amber Weathercock", "Amber Candlestick", false},
		{"nothing but signs", "×", "--", false},
	} {
		require.Equal(t, row.mistyped, mistyped(row.name, row.other), row.reason)
		require.Equal(t, row.mistyped, mistyped(row.other, row.name), row.reason)
	}
}

// How many of a thousand typing mistakes are noticed, and how many of a thousand pairs of
// similar names are taken for one.
func TestMistypedRates(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 7))
	for _, test := range []struct {
		what        string
		kinds       map[string]func(*rand.Rand) (string, string)
		least, most float64
	}{
		{what: "typed errors", kinds: slips(), least: 0.94, most: 1},
		{what: "different names", kinds: alikeNames(), least: 0, most: 0.07},
	} {
		asked, pairs, lines := 0, 0, ""
		for _, kind := range sorted(test.kinds) {
			of := 0
			for range 1000 / len(test.kinds) {
				name, other := test.kinds[kind](random)
				pairs++
				is := mistyped(name, other)
				if is {
					of++
				}
				require.Equal(t, is, mistyped(other, name), "%q and %q exchanged", name, other)
			}
			asked += of
			lines += fmt.Sprintf("\n  %-28s %3d of %d", kind, of, 1000/len(test.kinds))
		}
		share := float64(asked) / float64(pairs)
		t.Logf("%s: %d of %d pairs asked about (%.1f %%)%s", test.what, asked, pairs, 100*share, lines)
		assert.GreaterOrEqual(t, share, test.least, test.what)
		assert.LessOrEqual(t, share, test.most, test.what)
	}
}

func sorted(kinds map[string]func(*rand.Rand) (string, string)) []string {
	var names []string
	for name := range kinds {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

var firstWords = strings.Fields("Red Blue Amber Old Early Silver Quiet Marlpit Copper Winter Long Tall Little Grüne Weiße Étoile Belle Grey Saffron Hollow Northern Dusty Velvet Paper")

var lastWords = strings.Fields("Lantern Weathercock Thimble Harrow Ladder Kettle Wren Candle Anvil Spindle Orchard Bellows Compass Laterne Grise Façade Sickle Gatepost Drum Hinge Windlass Cobbler")

func invented(random *rand.Rand) string {
	name := firstWords[random.IntN(len(firstWords))] + " " + lastWords[random.IntN(len(lastWords))]
	switch random.IntN(6) {
	case 0:
		name = lastWords[random.IntN(len(lastWords))]
	case 1:
		name = firstWords[random.IntN(len(firstWords))] + " " + name
	case 2:
		name += []string{" II", " 2", " III", " B"}[random.IntN(4)]
	}
	return name
}

// slips are ways to mistype a name.
func slips() map[string]func(*rand.Rand) (string, string) {
	const keys = "qwertyuiop asdfghjkl zxcvbnm"
	edit := func(with func(random *rand.Rand, runes []rune, at int) []rune) func(*rand.Rand) (string, string) {
		return func(random *rand.Rand) (string, string) {
			for {
				name := invented(random)
				runes := []rune(name)
				at := random.IntN(len(runes))
				if !unicode.IsLetter(runes[at]) {
					continue
				}
				typed := string(with(random, []rune(name), at))
				if records.Key(typed) != records.Key(name) {
					return typed, name
				}
			}
		}
	}
	return map[string]func(*rand.Rand) (string, string){
		"letter left out": edit(func(_ *rand.Rand, r []rune, at int) []rune { return append(r[:at:at], r[at+1:]...) }),
		"letter doubled":  edit(func(_ *rand.Rand, r []rune, at int) []rune { return append(r[:at+1:at+1], r[at:]...) }),
		"letters swapped": edit(func(_ *rand.Rand, r []rune, at int) []rune {
			if at+1 < len(r) && r[at+1] != ' ' {
				r[at], r[at+1] = r[at+1], r[at]
			}
			return r
		}),
		"neighbour key": edit(func(random *rand.Rand, r []rune, at int) []rune {
			if i := strings.IndexRune(keys, unicode.ToLower(r[at])); i >= 0 {
				r[at] = rune(keys[(i+1)%len(keys)])
			}
			return r
		}),
		"any other letter": edit(func(random *rand.Rand, r []rune, at int) []rune { r[at] = 'a' + rune(random.IntN(26)); return r }),
		"letter too many": edit(func(random *rand.Rand, r []rune, at int) []rune {
			return append(append(r[:at:at], 'a'+rune(random.IntN(26))), r[at:]...)
		}),
		"two letters left out": edit(func(random *rand.Rand, r []rune, at int) []rune {
			r = append(r[:at:at], r[at+1:]...)
			at = random.IntN(len(r))
			return append(r[:at:at], r[at+1:]...)
		}),
		"accent left out": edit(func(_ *rand.Rand, r []rune, _ int) []rune {
			return []rune(strings.Map(func(r rune) rune {
				if unicode.Is(unicode.Mn, r) {
					return -1
				}
				return r
			}, norm.NFD.String(string(r))))
		}),
		"space left out":     edit(func(_ *rand.Rand, r []rune, _ int) []rune { return []rune(strings.Replace(string(r), " ", "", 1)) }),
		"hyphen for a space": edit(func(_ *rand.Rand, r []rune, _ int) []rune { return []rune(strings.Replace(string(r), " ", "-", 1)) }),
	}
}

// alikeNames are ways in which two different names are similar.
func alikeNames() map[string]func(*rand.Rand) (string, string) {
	pick := func(random *rand.Rand, of ...string) string { return of[random.IntN(len(of))] }
	plain := func(random *rand.Rand) string {
		return firstWords[random.IntN(len(firstWords))] + " " + lastWords[random.IntN(len(lastWords))]
	}
	closeWords := func(in string, words string) func(*rand.Rand) (string, string) {
		pairs := strings.Fields(words)
		return func(random *rand.Rand) (string, string) {
			a, b, _ := strings.Cut(pairs[random.IntN(len(pairs))], "/")
			other := lastWords[random.IntN(len(lastWords))]
			return fmt.Sprintf(in, a, other), fmt.Sprintf(in, b, other)
		}
	}
	return map[string]func(*rand.Rand) (string, string){
		"another number": func(random *rand.Rand) (string, string) {
			name, n := plain(random), 1+random.IntN(98)
			return fmt.Sprint(name, " ", n), fmt.Sprint(name, " ", n+1)
		},
		"a number more": func(random *rand.Rand) (string, string) {
			name := plain(random)
			return name, fmt.Sprint(name, " ", 2+random.IntN(3))
		},
		"another numeral": func(random *rand.Rand) (string, string) {
			name := plain(random)
			return name + pick(random, "", " I", " II"), name + pick(random, " III", " IV", " V")
		},
		"plural and numeral": func(random *rand.Rand) (string, string) {
			name := plain(random)
			return name, name + "s II"
		},
		"another letter": func(random *rand.Rand) (string, string) {
			name := plain(random)
			return name + " A", name + " " + pick(random, "B", "C", "D")
		},
		"another clone": func(random *rand.Rand) (string, string) {
			letter, n := pick(random, "K.", "MT ", "Q", "R-"), 1+random.IntN(200)
			return fmt.Sprint(letter, n), fmt.Sprint(letter, n+1+random.IntN(2))
		},
		"another first word": func(random *rand.Rand) (string, string) {
			at := random.Perm(len(firstWords))
			last := lastWords[random.IntN(len(lastWords))]
			return firstWords[at[0]] + " " + last, firstWords[at[1]] + " " + last
		},
		"another last word": func(random *rand.Rand) (string, string) {
			at := random.Perm(len(lastWords))
			first := firstWords[random.IntN(len(firstWords))]
			return first + " " + lastWords[at[0]], first + " " + lastWords[at[1]]
		},
		"a word more": func(random *rand.Rand) (string, string) {
			name := plain(random)
			return name, pick(random, "Dark", "Early", "Double", "Super", "New") + " " + name
		},
		"a short word close to another": closeWords("%s %s", "Red/Bed Moon/Noon Old/Odd Hill/Mill Bell/Ball Rose/Rosy Gold/Bold Lark/Dark Stone/Store Sun/Son Fen/Fan Low/Slow Oak/Oaks Pine/Wine Long/Song Tower/Power Light/Night Harrow/Barrow Kettle/Nettle Ladder/Bladder Alba/Albus Major/Minor Silver/Sliver"),
	}
}
