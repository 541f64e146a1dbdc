package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// fate is the best that can be of a unit at the end: the most that live, and the
// fewest that are dead and that left.
type fate struct{ alive, dead, left int8 }

// claim is what an entry says, in a form to hold lives of stems against.
type claim struct {
	from, to     int // stems that it is about
	alive, dead  int // -1 where it does not say
	least        int // living ones, for those that grow or have roots
	left, unused int
}

func claimOf(b records.Batch, o records.Entry) claim {
	c := claim{from: 1, to: b.Grafts, alive: -1, dead: -1, left: o.Sold + o.Planted + o.Culled, unused: o.Unused}
	switch o.Unit.Kind() {
	case codes.Stem:
		c.from, c.to = o.Unit.Number(), o.Unit.Number()
	case codes.Tray:
		c.from, c.to = b.StemsIn(o.Unit.Number())
	}
	c.to = min(c.to, c.from+o.Of-1) // labels printed later are not what it was about
	if n, said := o.Alive.Value(); said {
		c.alive = n
	}
	if n, said := o.Dead.Value(); said {
		c.dead = n
	}
	for _, count := range []records.Count{o.Growing, o.Rooted} {
		n, _ := count.Value()
		c.least = max(c.least, n)
	}
	return c
}

// tracked is a number of a claim that the stems must add up to.
type tracked struct {
	want   int
	exact  bool // rather than at least
	counts func(life) bool
}

// life is what becomes of one stem: it dies before an entry is made, or leaves
// with one, or stands for a label of which no graft was made, as an entry tells.
// Each is the place of the entry among all, and beyond the last for never.
type life struct {
	stem              int
	dies, leaves      int
	unused            int
	deadEnd, aliveEnd bool
}

func (c claim) about(stem int) bool { return c.from <= stem && stem <= c.to }

func claimed(claims []claim) []tracked {
	never := len(claims)
	var all []tracked
	for i, c := range claims {
		alive := func(l life) bool { return c.about(l.stem) && l.unused == never && l.dies > i && l.leaves > i }
		if c.alive >= 0 {
			all = append(all, tracked{c.alive, true, alive})
		}
		if c.least > max(c.alive, 0) { // else those alive are at least as many, where they were counted
			all = append(all, tracked{c.least, false, alive})
		}
		if c.dead >= 0 {
			all = append(all, tracked{c.dead, true, func(l life) bool { return c.about(l.stem) && l.dies <= i }})
		}
		if c.left > 0 {
			all = append(all, tracked{c.left, true, func(l life) bool { return l.leaves == i }})
		}
		if c.unused > 0 {
			all = append(all, tracked{c.unused, true, func(l life) bool { return l.unused == i }})
		}
	}
	return all
}

// lives lists all that can become of a stem.
func lives(claims []claim, stem int) []life {
	never := len(claims)
	all := []life{{stem, never, never, never, false, true}}
	for i, c := range claims {
		all = append(all, life{stem, i, never, never, true, false})
		if c.left > 0 && c.about(stem) {
			all = append(all, life{stem, never, i, never, false, false})
		}
		if c.unused > 0 && c.about(stem) {
			all = append(all, life{stem, never, never, i, false, false})
		}
	}
	return all
}

// unitsOf lists all units of a batch.
func unitsOf(t testing.TB, b records.Batch) []codes.Code {
	t.Helper()
	all := []codes.Code{b.Code}
	for n := 1; n <= b.Trays(); n++ {
		all = append(all, trayOf(t, b, n))
	}
	for n := 1; n <= b.Grafts; n++ {
		all = append(all, stemOf(t, b, n))
	}
	return all
}

func trayOf(t testing.TB, b records.Batch, n int) codes.Code {
	t.Helper()
	code, err := b.Code.Tray(n)
	require.NoError(t, err)
	return code
}

func stemOf(t testing.TB, b records.Batch, n int) codes.Code {
	t.Helper()
	code, err := b.Code.Stem(n)
	require.NoError(t, err)
	return code
}

// fates tries all lives of all stems, and returns what can be of each unit in
// the worlds in which every entry is true, and whether there is such a world. The
// entries stand in the order in which they were seen. Stems are taken one by one;
// of those taken only what they add to the numbers of the entries is remembered.
func fates(b records.Batch, units []codes.Code, entries []records.Entry) (map[codes.Code]fate, bool) {
	var claims []claim
	for _, entry := range entries {
		claims = append(claims, claimOf(b, entry))
	}
	numbers := claimed(claims)
	for _, number := range numbers {
		if number.want > b.Grafts {
			return nil, false
		}
	}
	const bits = 3 // enough for five stems
	worlds := map[uint64][]fate{0: make([]fate, len(units))}
	for stem := 1; stem <= b.Grafts; stem++ {
		next := map[uint64][]fate{}
		for _, l := range lives(claims, stem) {
			add := uint64(0)
			for k, number := range numbers {
				if number.counts(l) {
					add |= 1 << (bits * k)
				}
			}
			for sum, best := range worlds {
				if sum, fits := plus(numbers, sum, add); fits {
					next[sum] = better(next[sum], best, l, units, b)
				}
			}
		}
		worlds = next
	}
	var sum uint64
	for k, number := range numbers {
		sum |= uint64(number.want) << (bits * k)
	}
	best, is := worlds[sum]
	found := map[codes.Code]fate{}
	for i := range best {
		found[units[i]] = best[i]
	}
	return found, is
}

func plus(numbers []tracked, sum, add uint64) (uint64, bool) {
	for k, number := range numbers {
		if add>>(3*k)&7 == 0 {
			continue
		}
		switch full := int(sum>>(3*k)&7) == number.want; {
		case full && number.exact:
			return 0, false
		case !full:
			sum += 1 << (3 * k)
		}
	}
	return sum, true
}

// better adds a life to the fates before it, and keeps the best for each unit.
func better(known, before []fate, l life, units []codes.Code, b records.Batch) []fate {
	first := known == nil
	if first {
		known = make([]fate, len(units))
	}
	for i, unit := range units {
		f := before[i]
		switch {
		case unit.Kind() == codes.Stem && unit.Number() != l.stem, unit.Kind() == codes.Tray && unit.Number() != b.TrayOf(l.stem):
		case l.aliveEnd:
			f.alive++
		case l.deadEnd:
			f.dead++
		default:
			f.left++
		}
		if first {
			known[i] = f
			continue
		}
		known[i] = fate{max(known[i].alive, f.alive), min(known[i].dead, f.dead), min(known[i].left, f.left)}
	}
	return known
}

func TestWorldsOfKnownEntries(t *testing.T) {
	b := batch(t, 4, 2)
	at := b.Date.Add(24 * time.Hour)
	tray, stem := trayOf(t, b, 1), stemOf(t, b, 3)
	entry := func(unit codes.Code, of int, change func(*records.Entry)) records.Entry {
		o := records.Entry{Unit: unit, Of: of, At: at}
		change(&o)
		return o
	}
	for _, row := range []struct {
		reason  string
		entries []records.Entry
		is      bool
		unit    codes.Code
		want    fate
	}{
		{"nothing said: all may live", nil, true, b.Code, fate{4, 0, 0}},
		{"one of a tray is dead", []records.Entry{entry(tray, 2, func(o *records.Entry) { o.Alive = records.Said(1) })}, true, b.Code, fate{3, 1, 0}},
		{"the other tray is not touched", []records.Entry{entry(tray, 2, func(o *records.Entry) { o.Dead = records.Said(1) })}, true, trayOf(t, b, 2), fate{2, 0, 0}},
		{"one sold of the batch may be of any tray", []records.Entry{entry(b.Code, 4, func(o *records.Entry) { o.Sold = 1 })}, true, tray, fate{2, 0, 0}},
		{"five sold of four", []records.Entry{entry(b.Code, 4, func(o *records.Entry) { o.Sold = 4 }), entry(stem, 1, func(o *records.Entry) { o.Sold = 1 })}, false, b.Code, fate{}},
		{"the dead do not live again", []records.Entry{entry(stem, 1, func(o *records.Entry) { o.Dead = records.Said(1) }), entry(b.Code, 4, func(o *records.Entry) { o.Growing = records.Said(4) })}, false, b.Code, fate{}},
		{"unused later were so before", []records.Entry{entry(tray, 2, func(o *records.Entry) { o.Alive = records.Said(1) }), entry(tray, 2, func(o *records.Entry) { o.Unused = 1 })}, true, tray, fate{1, 0, 1}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			found, is := fates(b, unitsOf(t, b), row.entries)
			require.Equal(t, row.is, is)
			require.Equal(t, row.want, found[row.unit])
		})
	}
}
