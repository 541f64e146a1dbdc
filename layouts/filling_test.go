package layouts

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func thirty(t *testing.T) Stock {
	t.Helper()
	s, err := Lookup("letter-3x10")
	require.NoError(t, err)
	require.Equal(t, 30, s.Count())
	return s
}

func TestFilling(t *testing.T) {
	s := thirty(t)
	from := func(first int) []int {
		var places []int
		for place := first; place <= s.Count(); place++ {
			places = append(places, place)
		}
		return places
	}
	for _, test := range []struct {
		reason string
		free   []int
		slips  int
		// of the last slip
		sheet, place int
		sheets       int
		left         []int
	}{
		{"a whole sheet, one slip", nil, 1, 0, 0, 1, from(2)},
		{"a whole sheet, full", nil, 30, 0, 29, 1, nil},
		{"one more begins a second", nil, 31, 1, 0, 2, from(2)},
		{"two sheets, full", nil, 60, 1, 29, 2, nil},
		{"1 used, one slip", from(2), 1, 0, 1, 1, from(3)},
		{"1 used, full", from(2), 29, 0, 29, 1, nil},
		{"1 used, one more begins a whole sheet", from(2), 30, 1, 0, 2, from(2)},
		{"29 used, full", []int{30}, 1, 0, 29, 1, nil},
		{"29 used, the one free in the middle", []int{17}, 1, 0, 16, 1, nil},
		{"29 used, one more", []int{17}, 2, 1, 0, 2, from(2)},
		{"29 used, a whole sheet more", []int{17}, 31, 1, 29, 2, nil},
		{"30 used: such a sheet is not put in, a whole one is", []int{}, 1, 0, 0, 1, from(2)},
		{"places with gaps", []int{3, 7, 8}, 2, 0, 6, 1, []int{8}},
		{"places all free are a whole sheet", from(1), 31, 1, 0, 2, from(2)},
	} {
		t.Run(test.reason, func(t *testing.T) {
			f := Filling{s, test.free}
			sheet, place := f.Place(test.slips - 1)
			require.Equal(t, [2]int{test.sheet, test.place}, [2]int{sheet, place})
			require.Equal(t, test.sheets, f.Sheets(test.slips))
			require.Equal(t, test.left, f.Left(test.slips))
		})
	}
	require.Zero(t, Filling{s, []int{3}}.Sheets(0))
	require.Equal(t, []int{3}, Filling{s, []int{3}}.Left(0))
	require.Empty(t, Filling{Stock: s}.Left(0))
}

// For any used places: no slip takes one of them, no two take the same place,
// slips go in order of sheets and places, and what is said to be left is what
// the next slips take.
func TestFillingProperties(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 3))
	for _, name := range []string{"letter-3x10", "letter-4x20", "letter-2x3", "strip-25x200", "card-a6"} {
		s, err := Lookup(name)
		require.NoError(t, err)
		for range 60 {
			used := map[int]bool{}
			var free []int
			share := random.Float64()
			for place := 1; place <= s.Count(); place++ {
				if random.Float64() < share {
					used[place] = true
				} else {
					free = append(free, place)
				}
			}
			if len(free) == 0 {
				clear(used) // a sheet without a free place is not put in
			}
			f := Filling{s, free}
			type spot struct{ sheet, place int }
			taken := map[spot]bool{}
			before := spot{0, -1}
			for n := range 3*s.Count() + 2 {
				sheet, place := f.Place(n)
				at := spot{sheet, place}
				require.False(t, sheet == 0 && used[place+1], "slip %d is printed on a used place", n)
				require.False(t, taken[at], "slip %d is printed on another", n)
				require.True(t, place >= 0 && place < s.Count())
				require.True(t, sheet > before.sheet || sheet == before.sheet && place > before.place, "slip %d is printed before the one before it", n)
				if sheet > before.sheet {
					require.Equal(t, before.sheet+1, sheet, "no sheet is passed over")
				}
				if n > 0 {
					left := f.Left(n)
					if sheet > before.sheet {
						require.Empty(t, left, "a new sheet begins only when none is left")
					} else {
						require.Equal(t, place+1, left[0], "the next slip takes the first place left")
					}
				}
				taken[at], before = true, at
				require.Equal(t, sheet+1, f.Sheets(n+1))
				require.Equal(t, f.first()+sheet*s.Count(), n+1+len(f.Left(n+1)), "slips and free places are all places that there were")
			}
		}
	}
}
