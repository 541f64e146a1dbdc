package codes_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// damagedReadings returns random codes of so many digits, none too few or too
// many, with some of them illegible and one digit wrong.
func damagedReadings(t testing.TB, count, digits, unknown int) []string {
	random := rand.New(rand.NewPCG(14, uint64(digits*10+unknown)))
	var all []string
	for _, code := range randomCodes(t, count, 14) {
		read := wrong(random, []byte(code.Compact()))
		for len(read) < digits {
			read = added(random, read)
		}
		for len(read) > digits {
			read = dropped(random, read)
		}
		for range unknown {
			read = illegible(random, read)
		}
		all = append(all, string(read))
	}
	return all
}

// How many candidates there are at most, over random readings of every length
// and number of unknown digits. The limit is of what a caller may have to hold
// against a ledger.
func TestRepairCounts(t *testing.T) {
	const limit = 3000
	for digits := 12; digits <= 16; digits++ {
		for unknown := range 5 {
			most := 0
			for _, read := range damagedReadings(t, 15, digits, unknown) {
				count := 0
				for range codes.Repair(read) {
					count++
				}
				most = max(most, count)
			}
			t.Logf("%d digits, %d unknown: at most %d candidates", digits, unknown, most)
			require.Less(t, most, limit)
		}
	}
}

// The first candidate of a reading that needs no fault costs little, and so does
// a text that is no code.
func TestRepairAllocations(t *testing.T) {
	for _, test := range []struct {
		name, read string
		most       float64
	}{
		{"a whole code", "26329-004-0017-63", 0},
		{"no code", "26329-004-001", 1},
		{"one illegible digit, its tier only", "26329-0?4-0017-63", 6},
	} {
		got := testing.AllocsPerRun(100, func() {
			for range codes.Repair(test.read) {
				break
			}
		})
		t.Logf("%s: %.0f allocations", test.name, got)
		require.LessOrEqual(t, got, test.most, test.name)
	}
}

func BenchmarkRepair(b *testing.B) {
	for _, test := range []struct{ name, read string }{
		{"whole", "26329-004-0017-63"},
		{"one wrong", "26329-004-0018-63"},
		{"one wrong, one illegible", "2632?-004-0018-63"},
		{"one wrong, three illegible", "26329-??4-?018-63"},
		{"four illegible", "26329-0??-??17-63"},
		{"one dropped", "26329-004-017-63"},
		{"one dropped, one illegible", "26329-004-?17-63"},
		{"one dropped, three illegible", "26329-0??-?17-63"},
		{"two dropped, one illegible", "26329-0?4-17-63"},
		{"one doubled, one illegible", "26329-004-0?117-63"},
		{"one doubled, three illegible", "26329-0?4-??117-63"},
		{"two doubled, one illegible", "26329-004-0?1117-63"},
		{"4096 bytes of digits", strings.Repeat("2", 4096)},
		{"4096 bytes of words", strings.Repeat("word ", 4096/5)},
		{"4096 bytes, a code among words", strings.Repeat("word ", 4000/5) + "2632?-004-0018-63" + strings.Repeat(" x", 39)},
		{"4096 bytes, a code among spaces", strings.Join(strings.Split("2632?004001863", ""), strings.Repeat(" ", 4082/13))},
	} {
		b.Run(test.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for range codes.Repair(test.read) {
				}
			}
		})
	}
}
