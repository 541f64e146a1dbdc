package records_test

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/testdata/long"
)

// kept enters an entry as a ledger does: it gives it the next number.
func kept(c records.History, entries []records.Entry, o records.Entry) ([]records.Entry, error) {
	o.Number = 0
	with, err := c.With(o)
	if err != nil {
		return entries, err
	}
	last, _ := with.Last()
	last.Number = len(entries) + 1
	return append(slices.Clone(entries), last), nil
}

// seenInOrder are the entries that stand, as they were seen. Those of one time come
// as they were entered, or corrections in the places of what they correct.
func seenInOrder(entries []records.Entry, inPlace bool) []records.Entry {
	var all []records.Entry
	place := func(o records.Entry) int {
		for i := len(entries) - 1; inPlace && i >= 0; i-- {
			if entries[i].Number == o.Corrects && entries[i].At.Equal(o.At) {
				o = entries[i]
			}
		}
		return o.Number
	}
	for _, entry := range entries {
		gone := entry.Undoes() || slices.ContainsFunc(entries, func(o records.Entry) bool { return o.Corrects != 0 && o.Corrects == entry.Number })
		if !gone {
			all = append(all, entry)
		}
	}
	slices.SortStableFunc(all, func(a, b records.Entry) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(place(a), place(b))) })
	return all
}

// figures of a run of random lists.
type figures struct{ entries, possible, accepted, wronglyAccepted, units, tooManyAlive int }

// hold enters a list entry by entry, and holds each answer against all worlds.
//
// From the entry of number extended on the batch has more stems.
func hold(t *testing.T, before, b records.Batch, extended int, list []records.Entry, exact bool, f *figures) {
	t.Helper()
	var entries []records.Entry
	after := b
	for i, o := range list {
		if b = before; i >= extended {
			b = after
		}
		units := unitsOf(t, b)
		if o.Corrects > len(entries) {
			o.Corrects = 0 // what it corrects was refused
		}
		c := records.NewHistory(b, entries)
		next, err := kept(c, entries, o)
		sent := o
		sent.Of, sent.Number = stemsIn(b, o.Unit), len(entries)+1
		if o.Corrects != 0 && sent.At.IsZero() {
			sent.At = entries[o.Corrects-1].At
		}
		asked := append(slices.Clone(entries), sent)
		best, is := fates(b, units, seenInOrder(asked, true))
		if !is {
			best, is = fates(b, units, seenInOrder(asked, false))
		}
		f.entries++
		if is {
			f.possible++
		}
		if err != nil {
			if !o.Empty() || o.Corrects != 0 {
				require.Falsef(t, is, "refused, but it can be: %v\n%s", err, told(b, asked))
			}
			continue
		}
		f.accepted++
		if !is {
			f.wronglyAccepted++
			require.Falsef(t, exact, "accepted, but it cannot be\n%s", told(b, asked))
			return
		}
		entries = next
		c = records.NewHistory(b, entries)
		for _, unit := range units {
			tally, can := c.Tally(unit), best[unit]
			require.GreaterOrEqualf(t, tally.Alive, int(can.alive), "alive of %v\n%s", unit, told(b, asked))
			require.LessOrEqualf(t, tally.Dead, int(can.dead), "dead of %v\n%s", unit, told(b, asked))
			require.LessOrEqualf(t, tally.Sold+tally.Planted+tally.Culled+tally.Unused, int(can.left), "left of %v\n%s", unit, told(b, asked))
			require.NoErrorf(t, adds(tally), "%v\n%s", unit, told(b, asked))
			f.units++
			if tally.Alive > int(can.alive) {
				f.tooManyAlive++
				require.Falsef(t, exact, "%v: alive %d, but at most %d can be\n%s", unit, tally.Alive, can.alive, told(b, asked))
			}
		}
	}
}

func stemsIn(b records.Batch, unit codes.Code) int {
	switch unit.Kind() {
	case codes.Stem:
		return 1
	case codes.Tray:
		from, to := b.StemsIn(unit.Number())
		return to - from + 1
	}
	return b.Grafts
}

// randomBatch has two to five stems in one to three trays.
func randomBatch(t *testing.T, random *rand.Rand) records.Batch {
	t.Helper()
	for {
		b := batch(t, 2+random.IntN(4), random.IntN(4))
		if b.Trays() <= 3 {
			return b
		}
	}
}

// wild entries say anything about one of some units.
func wild(b records.Batch, unit func(int) codes.Code, random *rand.Rand) []records.Entry {
	list := make([]records.Entry, 1+random.IntN(5))
	for i := range list {
		o := records.Entry{Unit: unit(i), At: b.Date.Add(time.Duration(random.IntN(4)) * 24 * time.Hour), Note: "x"}
		most := stemsIn(b, o.Unit)
		for _, count := range []*records.Count{&o.Alive, &o.Dead, &o.Growing, &o.Rooted} {
			if random.IntN(3) == 0 {
				*count = records.Said(random.IntN(most + 1))
			}
		}
		for _, left := range []*int{&o.Sold, &o.Planted, &o.Culled, &o.Unused} {
			if random.IntN(6) == 0 {
				*left = random.IntN(most + 1)
			}
		}
		list[i] = o
	}
	return list
}

// truthful entries are of one hidden world, in the order in which they were
// seen; now and then one number is wrong. Of says how many stems an entry's unit has.
func truthful(b records.Batch, unit func(int) codes.Code, of func(int, codes.Code) int, random *rand.Rand) []records.Entry {
	list := make([]records.Entry, 1+random.IntN(5))
	claims := make([]claim, len(list))
	for i := range list {
		list[i] = records.Entry{Unit: unit(i), At: b.Date.Add(time.Duration(i) * time.Hour), Note: "x"}
		list[i].Of = of(i, list[i].Unit)
		claims[i] = claimOf(b, list[i])
		claims[i].left, claims[i].unused = random.IntN(2), random.IntN(4)/3
	}
	var world []life
	for stem := 1; stem <= b.Grafts; stem++ {
		can := lives(claims, stem)
		world = append(world, can[random.IntN(len(can))])
	}
	for i := range list {
		o, alive, dead := &list[i], 0, 0
		for _, l := range world {
			switch about := claims[i].about(l.stem); {
			case l.unused == i:
				o.Unused++
			case l.leaves == i:
				*[]*int{&o.Sold, &o.Planted, &o.Culled}[random.IntN(3)]++
			case about && l.dies <= i:
				dead++
			case about && l.unused == len(list) && l.leaves > i:
				alive++
			}
		}
		if random.IntN(12) == 0 {
			alive = min(alive+1, o.Of)
		}
		for _, count := range []struct {
			into *records.Count
			n    int
		}{{&o.Alive, alive}, {&o.Dead, dead}, {&o.Growing, random.IntN(alive + 1)}, {&o.Rooted, random.IntN(alive + 1)}} {
			if random.IntN(2) == 0 {
				*count.into = records.Said(count.n)
			}
		}
	}
	return list
}

// mixed entries are truthful or wild ones about units of a batch.
func mixed(b records.Batch, units []codes.Code, random *rand.Rand) []records.Entry {
	unit := func(int) codes.Code { return units[random.IntN(len(units))] }
	if random.IntN(2) == 0 {
		return wild(b, unit, random)
	}
	list := truthful(b, unit, func(_ int, unit codes.Code) int { return stemsIn(b, unit) }, random)
	if random.IntN(2) == 0 { // entered in another order than seen
		random.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	}
	return list
}

// No entry is refused that can be true, and more are never said to be dead or
// fewer to live than is so in every world that can be.
func TestSoundOverAllUnits(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 1))
	var f figures
	cases := long.Cases(1500, 6000)
	for range cases {
		b := randomBatch(t, random)
		list := mixed(b, unitsOf(t, b), random)
		if random.IntN(4) == 0 && len(list) > 1 { // the last corrects or withdraws the first
			if last := &list[len(list)-1]; random.IntN(3) > 0 {
				last.Corrects = 1
				if random.IntN(2) == 0 {
					last.At = list[0].At
				}
			} else {
				*last = records.Entry{Unit: last.Unit, Corrects: 1}
			}
		}
		hold(t, b, b, 0, list, false, &f)
	}
	t.Logf("%+v", f)
	require.Greater(t, f.accepted, cases*5/3, "enough was accepted to show anything")
	require.Less(t, f.wronglyAccepted, f.accepted/100)
	require.Less(t, f.tooManyAlive, f.units/100)
}

// The same where labels are added between two entries.
func TestSoundWhereABatchIsExtended(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 3))
	var f figures
	cases := long.Cases(1000, 4000)
	for range cases {
		b := randomBatch(t, random)
		before, extended := b, 1+random.IntN(3)
		before.Grafts -= 1 + random.IntN(b.Grafts-1)
		at := func(i int) records.Batch {
			if i < extended {
				return before
			}
			return b
		}
		unit := func(i int) codes.Code {
			units := unitsOf(t, at(i))
			return units[random.IntN(len(units))]
		}
		hold(t, before, b, extended, truthful(b, unit, func(i int, unit codes.Code) int { return stemsIn(at(i), unit) }, random), false, &f)
	}
	t.Logf("%+v", f)
	require.Greater(t, f.accepted, cases*3/2)
}

// Where all entries are about one unit, the answers are exact.
func TestExactWithinOneUnit(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 2))
	var f figures
	cases := long.Cases(1500, 6000)
	for range cases {
		b := randomBatch(t, random)
		units := unitsOf(t, b)
		unit := units[random.IntN(len(units))]
		hold(t, b, b, 0, mixed(b, []codes.Code{unit}, random), true, &f)
	}
	t.Logf("%+v", f)
	require.Greater(t, f.accepted, cases)
}
