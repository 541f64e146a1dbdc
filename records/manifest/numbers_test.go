package manifest

import (
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest/sheet"
)

// The counts of a file with other numbers, and how each is read: "!" is a fault, "?" a
// question.
func TestCounts(t *testing.T) {
	for _, row := range []struct{ reason, counts, others, want string }{
		{"digits alone", "25 1025 8999", "", "25 1025 8999"},
		{"decimals of nothing", "25.0 25,00", "", "25 25"},
		{"decimals of something", "25.5", "", "!"},
		{"a space", "1_025 8_999", "", "1025 8999"},
		{"an apostrophe", "1'025 1’025", "", "1025 1025"},
		{"a thousand with decimals shows both separators", "1.025,0 1.000 25,000", "", "1025 1000 25"},
		{"and the other way", "1,025.0 1,000 25.000", "", "1025 1000 25"},
		{"a count has no decimals, so this is a thousand and more", "1.025", "", "1025"},
		{"and so for the others", "1.025 1.000", "", "1025 1000"},
		{"also behind them", "1.000 1.025", "", "1000 1025"},
		{"then the other separator marks decimals", "1.025 1,000", "", "1025 1"},
		{"a thousand, or one with three decimals", "1.000", "", "?"},
		{"25 thousand is too many, but so it may be meant", "25.000", "", "?"},
		{"a comma in a diameter shows that points part thousands", "1.000 2.025", "7,5_mm", "1000 2025"},
		{"a comma in a share too", "1.000", "0,925", "1000"},
		{"a comma in a diameter does not make one of a thousand", "1,000", "7,5mm", "?"},
		{"a point in a diameter shows nothing: it may be copied", "1,000", "7.5mm", "?"},
		{"nor does it keep points from parting thousands", "1.000 1.025", "7.5mm", "1000 1025"},
		{"a decimal count shows more", "25.0 1.000 1.025", "", "25 1 !"},
		{"a fraction of an inch has no separator", "1.000", "5/16in", "?"},
		{"too many", "9000 9.001 1.000.000", "", "! ! !"},
		{"nothing", "0 0.0 00", "", "! ! !"},
		{"a leading zero", "025 0.250", "", "! !"},
		{"groups that are none", "1_02 10_25 1._025 ,025 1,02,5", "", "! ! ! ! !"},
		{"signs and words", "+25 -25 25- 1e3 25pcs . ,", "", "! ! ! ! ! ! !"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			spots := func(texts string) (cells []spot) {
				for _, text := range strings.Fields(texts) {
					cells = append(cells, spot{1, strings.ReplaceAll(text, "_", " "), sheet.Typed})
				}
				return cells
			}
			counts := spots(row.counts)
			use := &usage{numbers: decideNumbers(counts, spots(row.others))}
			var got []string
			for _, spot := range counts {
				count, f := cell{Cell: sheet.Cell{Text: spot.text}, use: use}.count()
				switch {
				case f == nil:
					got = append(got, strconv.Itoa(count))
				case strings.HasPrefix(f.expected, "a number without separators"):
					got = append(got, "?")
				default:
					got = append(got, "!")
				}
			}
			require.Equal(t, row.want, strings.Join(got, " "))
		})
	}
}

// The numbers of a workbook have one meaning, whatever its texts look like.
func TestNumbersOfWorkbooks(t *testing.T) {
	use := &usage{numbers: decideNumbers([]spot{{1, "1,025.0", sheet.Typed}}, nil)}
	for text, want := range map[string]int{"25": 25, "1025": 1025, "1.025": 0, "25.5": 0, "1e+06": 0, "-3": 0} {
		count, f := cell{Cell: sheet.Cell{Text: text, Kind: sheet.Number}, use: use}.count()
		require.Equal(t, want, count, text)
		require.Equal(t, want == 0, f != nil, text)
	}
}

// A number has the digits of its text, in order.
func FuzzNumbers(f *testing.F) {
	for _, seed := range []string{"25", "1.025", "1,025.0", "1 025", "1’025", "0.5", ".", "1.025.000,5", "1,2,3"} {
		f.Add(seed)
	}
	digitsOf := func(text string) string {
		return strings.Map(func(r rune) rune {
			if r < '0' || r > '9' {
				return -1
			}
			return r
		}, text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, ok := parseNumber(text)
		if !ok {
			require.Zero(t, n)
			return
		}
		require.Equal(t, digitsOf(text), n.whole+n.fraction)
		require.True(t, isDigits(n.whole))
		require.Equal(t, n.fraction != "", n.open != "" || n.decimal != "")
	})
}
