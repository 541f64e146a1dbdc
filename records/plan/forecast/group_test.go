package forecast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"graftslip/layouts"
	"graftslip/records/plan/forecast"
	"graftslip/testdata/long"
)

func TestGroups(t *testing.T) {
	day := func(text string) time.Time {
		date, err := time.Parse(time.DateOnly, text)
		require.NoError(t, err)
		return date
	}
	outcomes := []forecast.Outcome{
		{Variety: "Lantern Wren", Stock: "Quarry Thorn", Grafter: "Ida", Wrap: layouts.Flag, Date: day("2026-11-30"), Grafts: 10, Finished: 9},
		{Variety: "lantern wren", Stock: "Quarry Thorn", Grafter: "IDA", Date: day("2026-12-01"), Grafts: 10, Finished: 7},
		{Variety: "Lantern Wren", Stock: "Sloe Barrow", Wrap: layouts.Flag, Date: day("2026-12-31"), Grafts: 20, Finished: 16},
		{Variety: "Pewter Magpie", Stock: "Sloe Barrow", Wrap: layouts.Loop, Date: day("2027-01-01"), Grafts: 8, Finished: 0},
		{Variety: "Left Out", Stock: "Sloe Barrow", Date: day("2027-01-01"), Grafts: 8, Finished: 8, Uncounted: true},
		{Variety: "Left Out", Stock: "Sloe Barrow", Date: day("2027-01-01"), Grafts: 8, Early: true},
	}
	for _, test := range []struct {
		by     forecast.Trait
		want   []string
		reason string
	}{
		{forecast.ByPair, []string{"‘Lantern Wren’ / ‘Quarry Thorn’ 2 16/20", "‘Lantern Wren’ / ‘Sloe Barrow’ 1 16/20", "‘Pewter Magpie’ / ‘Sloe Barrow’ 1 0/8"},
			"equal shares of as many grafts: by name; letter case does not matter"},
		{forecast.ByStock, []string{"‘Quarry Thorn’ 2 16/20", "‘Sloe Barrow’ 2 16/28"}, "the largest share first"},
		{forecast.ByVariety, []string{"‘Lantern Wren’ 3 32/40", "‘Pewter Magpie’ 1 0/8"}, "those left out are no group"},
		{forecast.ByGrafter, []string{"Ida 2 16/20", "not given 2 16/28"}, "who is not known is a group"},
		{forecast.ByWrap, []string{"flag 2 25/30", "not given 1 7/10", "loop 1 0/8"}, "a wrap that is not known is a group"},
		{forecast.ByMonth, []string{"2026-11 1 9/10", "2026-12 2 23/30", "2027-01 1 0/8"}, "of grafting, to its last day"},
	} {
		var got []string
		for _, g := range forecast.Groups(outcomes, test.by) {
			got = append(got, fmt.Sprintf("%s %d %d/%d", g.Name, g.Batches, g.Finished, g.Grafts))
		}
		require.Equal(t, test.want, got, "%v: %s", test.by, test.reason)
		again, err := forecast.ParseTrait(test.by.String())
		require.NoError(t, err)
		require.Equal(t, test.by, again)
	}
	require.Len(t, forecast.Grafted(outcomes, day("2026-12-01"), day("2026-12-31")), 2, "both days are in")
	require.Len(t, forecast.Grafted(outcomes, time.Time{}, day("2026-11-30")), 1)

	rates, err := forecast.RatesOf(outcomes, outcomes, forecast.ByPair, 0.95)
	require.NoError(t, err)
	require.Equal(t, []int{4, 48, 32, 1, 1}, []int{rates.Total.Batches, rates.Total.Grafts, rates.Total.Finished, rates.Uncounted, rates.Early})
	require.Equal(t, 1, rates.Spread.Freedom)
	take, basis := forecast.Learn(outcomes).Take("Lantern Wren", "Quarry Thorn")
	require.Equal(t, forecast.Pooled{Mean: take.Mean(), Interval: forecast.Interval{Low: take.Quantile(0.05), High: take.Quantile(0.95)}, Basis: basis}, *rates.Groups[0].Pooled)
	none, err := forecast.RatesOf(nil, nil, forecast.ByPair, 0.95)
	require.NoError(t, err)
	require.Empty(t, none.Groups)
	_, err = forecast.RatesOf(outcomes, outcomes, forecast.ByPair, 1)
	require.ErrorContains(t, err, "a level of 1")
}

// The spread is found again where many batches tell it, and where none does it is
// that of the weak density.
func TestSpread(t *testing.T) {
	for _, test := range []struct {
		groups, batches int
		correlation     float64
		low, high       float64
		reason          string
	}{
		{10, 30, 0.1, 0.07, 0.13, "as it is"},
		{10, 30, 0, 0, 0.01, "luck alone"},
		{10, 1, 0.1, 0.2, 0.4, "nothing is told: the mean of the weak density"},
	} {
		spread := forecast.SpreadOf(forecast.Groups(alike(rand.New(rand.NewPCG(3, 1)), test.groups, test.batches, 0.7, 0.7, test.correlation), forecast.ByVariety))
		require.Equal(t, test.groups*(test.batches-1), spread.Freedom)
		require.True(t, spread.Correlation >= test.low && spread.Correlation <= test.high, "%s: %v", test.reason, spread.Correlation)
	}
	one := func(finished int) forecast.Outcome {
		return forecast.Outcome{Variety: fmt.Sprint(finished), Grafts: 40, Finished: finished}
	}
	for _, test := range []struct {
		a, b   int
		within bool
		reason string
	}{
		{0, 0, true, "none of both"}, {40, 40, true, "all of both"}, {21, 20, true, "one plant"}, {40, 2, false, "nearly all and nearly none"},
	} {
		groups := forecast.Groups([]forecast.Outcome{one(test.a), one(test.b)}, forecast.ByVariety)
		require.Equal(t, test.within, forecast.SpreadOf(groups).WithinChance(groups[0], groups[len(groups)-1], 0.95), test.reason)
	}
}

// Groups that are alike seldom seem to differ: in no more than 6 of 100 seasons is any
// further from the first than chance at 95 %, however few batches there are and however
// much these differ, up to a correlation of 0.3. Groups that differ much are told
// apart.
func TestDifferencesByChance(t *testing.T) {
	const most = 0.06
	seasons := long.Cases(800, 2000)
	type cell struct {
		groups, batches int
		first, others   float64 // share of the first group, and of the others
		correlation     float64
		least, most     float64
	}
	cells := []cell{
		{4, 8, 0.9, 0.6, 0.02, 0.95, 1}, {2, 8, 0.85, 0.6, 0.05, 0.9, 1}, {2, 3, 0.9, 0.6, 0.03, 0.6, 1},
		{2, 3, 0.97, 0.97, 0.1, 0, most}, {8, 3, 0.97, 0.97, 0.1, 0, most}, {12, 2, 0.95, 0.95, 0.1, 0, most}, {2, 8, 0.9, 0.9, 0.3, 0, most}, {6, 10, 0.6, 0.6, 0.15, 0, most},
	}
	for _, correlation := range []float64{0, 0.05, 0.1, 0.2, 0.3} {
		for _, size := range [][2]int{{2, 3}, {3, 2}, {2, 8}, {4, 2}, {8, 3}} {
			cells = append(cells, cell{size[0], size[1], 0.6, 0.6, correlation, 0, most})
		}
	}
	for _, correlation := range []float64{0, 0.05, 0.1, 0.2} { // with one batch each nothing is known of how they differ
		cells = append(cells, cell{2, 1, 0.6, 0.6, correlation, 0, most})
	}
	for _, c := range cells {
		random := rand.New(rand.NewPCG(11, uint64(c.groups)))
		differ := 0
		for range seasons {
			groups := forecast.Groups(alike(random, c.groups, c.batches, c.first, c.others, c.correlation), forecast.ByVariety)
			spread := forecast.SpreadOf(groups)
			for _, g := range groups[1:] {
				if !spread.WithinChance(groups[0], g, 0.95) {
					differ++
					break
				}
			}
		}
		share := float64(differ) / float64(seasons)
		t.Logf("%d groups of %d batches, correlation %v, shares %v and %v: told apart in %.3f of seasons", c.groups, c.batches, c.correlation, c.first, c.others, share)
		require.True(t, share >= c.least && share <= c.most, "%+v: %v", c, share)
	}
}

// alike are batches of 15 to 60 grafts in groups that have one share, but the
// first.
func alike(random *rand.Rand, groups, batches int, first, share, correlation float64) []forecast.Outcome {
	var all []forecast.Outcome
	for g := range groups {
		mean := share
		if g == 0 {
			mean = first
		}
		for range batches {
			own := mean
			if correlation > 0 {
				precision := 1/correlation - 1
				own = distuv.Beta{Alpha: mean * precision, Beta: (1 - mean) * precision, Src: random}.Rand()
			}
			o := forecast.Outcome{Variety: fmt.Sprint(g), Grafts: 15 + random.IntN(46)}
			o.Finished = int(math.Round(distuv.Binomial{N: float64(o.Grafts), P: own, Src: random}.Rand()))
			all = append(all, o)
		}
	}
	return all
}

func TestRatesWords(t *testing.T) {
	for share, want := range map[float64]string{0: "0 %", 0.001: "<1 %", 0.304: "30 %", 0.999: ">99 %", 1: "100 %"} {
		require.Equal(t, want, forecast.PercentWords(share))
	}
	rates := forecast.Rates{Unfinished: 2, Uncounted: 1, Early: 3}
	require.Equal(t, []string{"2 batches are not finished yet", "1 batch was never counted, and is left out",
		"3 batches were lost early, and are left out until others like them are finished"}, rates.LeftOutWords())
	require.Empty(t, rates.ReadingWords(), "without groups there is nothing to read")
	rates.Groups, rates.Level = make([]forecast.Rate, 1), 0.95
	require.Len(t, rates.ReadingWords(), 1, "one group differs from none")
	rates.Groups = make([]forecast.Rate, 2)
	require.Contains(t, rates.ReadingWords()[1], "a guess")
	rates.Spread.Freedom = 1
	require.NotContains(t, rates.ReadingWords()[1], "a guess")
}
