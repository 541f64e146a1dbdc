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
// true, found by leaving out one after the other; where several say the same, the
// latest that is at odds with the new one when nothing else was entered.
func TestTheEarlierEntryIsTheLatestThatIsAtOdds(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	contradictions, shown, byItself := 0, 0, 0
	for range 12_000 {
		b := randomBatch(t, random)
		var entries []records.Entry
		for _, o := range mixed(b, unitsOf(t, b), random) {
			next, err := kept(records.NewHistory(b, entries), entries, o)
			var contradiction *records.EntryError
			if !errors.As(err, &contradiction) || !contradiction.Contradicts {
				entries = next
				continue
			}
			contradictions++
			want := 0
			for _, entry := range slices.Backward(seenInOrder(entries, false)) {
				others := slices.DeleteFunc(slices.Clone(entries), func(o records.Entry) bool { return o.Number == entry.Number })
				if _, err := records.NewHistory(b, others).With(o); err == nil {
					want = entry.Number
					break
				}
			}
			alone := false
			if want == 0 {
				want = enoughByItself(b, entries, o)
				alone = want != 0
			}
			require.Equalf(t, want, contradiction.Earlier.Number, "%v\n%s", contradiction, told(b, entries))
			if want != 0 {
				shown++
			}
			if alone {
				byItself++
			}
		}
	}
	t.Logf("%d contradictions, an earlier entry shown for %d, of these one of several for %d", contradictions, shown, byItself)
	require.Greater(t, shown, 500)
	require.Greater(t, byItself, 30)
}

// enoughByItself is the number of the latest entry that stands and contradicts
// a new one that could be true without any, 0 for none.
func enoughByItself(b records.Batch, entries []records.Entry, o records.Entry) int {
	corrected := map[int]bool{}
	for _, entry := range entries {
		corrected[entry.Corrects] = true
		if entry.Number == o.Corrects && o.At.IsZero() {
			o.At = entry.At
		}
	}
	corrected[o.Corrects] = true
	o.Corrects = 0
	contradicts := func(entries ...records.Entry) bool {
		_, err := records.NewHistory(b, entries).With(o)
		var contradiction *records.EntryError
		return errors.As(err, &contradiction) && contradiction.Contradicts
	}
	if contradicts() {
		return 0
	}
	for _, entry := range slices.Backward(seenInOrder(entries, false)) {
		if !corrected[entry.Number] && !entry.Undoes() && contradicts(entry) {
			return entry.Number
		}
	}
	return 0
}

// So it is among more entries than are left out one by one.
func TestTheEarlierEntryAmongMany(t *testing.T) {
	for _, row := range []struct {
		reason string
		at     int // place of the entry that is at odds
		line   line
	}{
		{"the first", 0, line{part: -2, day: 9, Counts: alive(2000)}},
		{"in the middle", 250, line{part: -2, day: 9, Counts: alive(2000)}},
		{"the last", 399, line{part: -2, day: 9, Counts: alive(2000)}},
		{"all stems alike: the last", 399, line{part: -1, day: 0, Counts: alive(0)}},
	} {
		c := longHistory(t, 400)
		var entries []records.Entry
		for i, entry := range c.Entries(c.Batch.Code) {
			if i == row.at && row.line.part == -2 {
				entry.Unit, entry.Of, entry.Counts = trayOf(t, c.Batch, 2), 2000, dead(1)
			}
			entries = append(entries, entry.Entry)
		}
		_, err := records.NewHistory(c.Batch, entries).With(row.line.entry(t, c.Batch))
		var contradiction *records.EntryError
		require.ErrorAs(t, err, &contradiction, row.reason)
		require.Equal(t, row.at+1, contradiction.Earlier.Number, row.reason)
	}
}
