package records_test

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// The entry that is shown is the latest one without which the new one could be
// true, found by leaving out one after the other.
func TestTheEarlierEntryIsTheLatestThatIsAtOdds(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	contradictions, shown := 0, 0
	for range 12_000 {
		b := randomBatch(t, random)
		var entries []records.Observation
		for _, o := range mixed(b, unitsOf(t, b), random) {
			next, err := kept(records.NewCourse(b, entries), entries, o)
			var contradiction *records.ContradictionError
			if !errors.As(err, &contradiction) {
				entries = next
				continue
			}
			contradictions++
			want := 0
			for _, entry := range slices.Backward(seenInOrder(entries)) {
				others := slices.DeleteFunc(slices.Clone(entries), func(o records.Observation) bool { return o.Number == entry.Number })
				if _, err := records.NewCourse(b, others).With(o); err == nil {
					want = entry.Number
					break
				}
			}
			require.Equalf(t, want, contradiction.Earlier.Number, "%v\n%s", contradiction, told(b, entries))
			if want != 0 {
				shown++
			}
		}
	}
	t.Logf("%d contradictions, an earlier entry shown for %d", contradictions, shown)
	require.Greater(t, shown, 500)
}

// So it is among more entries than are left out one by one.
func TestTheEarlierEntryAmongMany(t *testing.T) {
	for _, row := range []struct {
		reason string
		at     int // place of the only entry that is at odds, -1 for none
		line   line
	}{
		{"the first", 0, line{part: -2, day: 9, Counts: alive(2000)}},
		{"in the middle", 250, line{part: -2, day: 9, Counts: alive(2000)}},
		{"the last", 399, line{part: -2, day: 9, Counts: alive(2000)}},
		{"all stems alike", -1, line{part: -1, day: 0, Counts: alive(0)}},
	} {
		c := longCourse(t, 400)
		var entries []records.Observation
		for i, entry := range c.Entries(c.Batch.Code) {
			if i == row.at {
				entry.Unit, entry.Of, entry.Counts = trayOf(t, c.Batch, 2), 2000, dead(1)
			}
			entries = append(entries, entry.Observation)
		}
		_, err := records.NewCourse(c.Batch, entries).With(row.line.entry(t, c.Batch))
		var contradiction *records.ContradictionError
		require.ErrorAs(t, err, &contradiction, row.reason)
		require.Equal(t, row.at+1, contradiction.Earlier.Number, row.reason)
	}
}
