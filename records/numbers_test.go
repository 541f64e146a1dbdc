package records_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

func TestNumbers(t *testing.T) {
	for _, row := range []struct {
		reason, text, want string
		count              int
	}{
		{"one number", "7", "7", 1},
		{"a range and a number", "17-23,40", "17-23,40", 8},
		{"any order, twice, with spaces", " 40, 17 - 20,18 - 23 ", "17-23,40", 8},
		{"a dash as typed on a phone", "3–5", "3-5", 3},
		{"two that follow each other", "4,5", "4-5", 2},
		{"a range of one", "4-4", "4", 1},
		{"all there are", "1-9999", "1-9999", 9999},
	} {
		t.Run(row.reason, func(t *testing.T) {
			numbers, err := records.ParseNumbers(row.text)
			require.NoError(t, err)
			require.Equal(t, row.want, numbers.String())
			require.Len(t, numbers, row.count)
		})
	}
	for _, row := range []struct{ reason, text, want string }{
		{"nothing", "", `"": a number is missing`},
		{"a comma too many", "3,", `"3,": a number is missing`},
		{"no end", "3-", `"3-": a number is missing`},
		{"nought", "0", `"0": "0" is not a number from 1 to 9999`},
		{"a sign", "+3", `"+3": "+3" is not a number from 1 to 9999`},
		{"too large", "10000", `"10000": "10000" is not a number from 1 to 9999`},
		{"backwards", "8-3", `"8-3": the range 8-3 runs backwards`},
		{"a word", "all", `"all": "all" is not a number from 1 to 9999`},
		{"endless", strings.Repeat("1,", 5001), `"1,1,1,1,1,1,1,1,1,1,…": the list is too long`},
	} {
		t.Run(row.reason, func(t *testing.T) {
			_, err := records.ParseNumbers(row.text)
			require.EqualError(t, err, row.want)
		})
	}
}

func TestNumbersContains(t *testing.T) {
	numbers := records.Numbers{3, 5, 6}
	for n, want := range map[int]bool{2: false, 3: true, 4: false, 6: true, 7: false} {
		require.Equal(t, want, numbers.Contains(n), n)
	}
	require.Equal(t, records.Numbers{3, 4, 5}, records.Range(3, 5))
	require.Equal(t, records.Numbers{1, 3, 5, 6, 9}, numbers.With(records.Numbers{1, 5, 9}))
	require.Equal(t, records.Numbers{3, 5, 6}, numbers, "it stays as it was")
}

// FuzzParseNumbers: what is read is written as something that reads the same.
func FuzzParseNumbers(f *testing.F) {
	for _, text := range []string{"17-23,40", "1", "9999", "3–5", " 4 , 5 ", "-", "1-", "0", "8-3", "9999999999999999999", "1,1,1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		numbers, err := records.ParseNumbers(text)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		require.NotEmpty(t, numbers)
		for i, n := range numbers {
			require.True(t, n >= 1 && n <= records.MaxNumber && (i == 0 || n > numbers[i-1]))
		}
		again, err := records.ParseNumbers(numbers.String())
		require.NoError(t, err)
		require.Equal(t, numbers, again)
	})
}
