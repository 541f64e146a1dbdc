package records_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// Of entries in any order that can be true, each unit is empty from the day on which
// it is said to be, and not before; and until the last day a history is what it is.
func TestEmptied(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 9))
	start := day(2026, time.March, 1)
	emptied, never := 0, 0
	for n := range 1500 {
		c := onBench(t, start, 1, 1+random.IntN(9), random.IntN(5), "Grey Lantern", "Low Sorrel")
		for i := range 1 + random.IntN(10) {
			units := append([]codes.Code{c.Batch.Code}, c.Units()...)
			if stem, err := c.Batch.Code.Stem(1 + random.IntN(c.Batch.Grafts)); err == nil {
				units = append(units, stem)
			}
			o := records.Entry{Number: i + 1, At: start.AddDate(0, 0, random.IntN(40)), Unit: units[random.IntN(len(units))]}
			if random.IntN(3) > 0 {
				o.Alive = records.Said(random.IntN(4))
			}
			left := []*int{&o.Sold, &o.Planted, &o.Culled, &o.Unused}[random.IntN(4)]
			*left = random.IntN(3)
			if with, err := c.With(o); err == nil {
				c = with
			}
		}
		until := func(at time.Time) records.History { return c.Until(func(codes.Code) time.Time { return at }) }
		for _, unit := range append(c.Units(), c.Batch.Code) {
			require.Equal(t, c.Tally(unit), until(start.AddDate(0, 0, 40)).Tally(unit), "case %d", n)
			on, is := c.Emptied(unit)
			require.Equal(t, c.Tally(unit).Alive == 0, is, "case %d", n)
			if !is {
				never++
				continue
			}
			emptied++
			require.Zero(t, until(on).Tally(unit).Alive, "case %d: %v", n, unit)
			if before := until(on.AddDate(0, 0, -1)); before.Tally(unit).Alive == 0 {
				require.Zero(t, on.Compare(firstDay(c)), "case %d: %v was empty before %v", n, unit, on)
			}
		}
	}
	require.Greater(t, emptied, 300)
	require.Greater(t, never, 300)
}

// firstDay is that of the first entry.
func firstDay(c records.History) time.Time {
	var first time.Time
	for _, entry := range c.Entries(c.Batch.Code) {
		if first.IsZero() || entry.Day().Before(first) {
			first = entry.Day()
		}
	}
	return first
}

// Each tray has a day of its own; what was entered of the batch counts to the last of
// them, and labels without a graft always.
func TestUntil(t *testing.T) {
	start := day(2026, time.March, 1)
	c := onBench(t, start, 1, 30, 10, "Grey Lantern", "Low Sorrel",
		line{part: -1, day: 20, Counts: alive(8)}, line{part: -2, day: 20, Counts: alive(9)},
		line{part: -1, day: 30, Counts: alive(5)}, line{part: -2, day: 30, Counts: alive(6)},
		line{part: -3, day: 50, Moves: records.Moves{Unused: 4}}, line{part: 0, day: 60, Counts: alive(2)})
	units := c.Units()
	then := c.Until(func(unit codes.Code) time.Time {
		if unit == units[0] {
			return start.AddDate(0, 0, 29)
		}
		return start.AddDate(0, 0, 30).Add(23 * time.Hour)
	})
	require.Equal(t, []int{8, 6, 6, 20}, []int{then.Tally(units[0]).Alive, then.Tally(units[1]).Alive, then.Tally(units[2]).Alive, then.Tally(c.Batch.Code).Alive})
	require.Equal(t, 4, then.Tally(c.Batch.Code).Unused)
	require.Equal(t, 2, c.Tally(c.Batch.Code).Alive, "the history itself is as it was")
}
