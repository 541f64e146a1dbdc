package records_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// never is a day beyond any season.
const never = 10_000

// plant is a stem as it truly is: the days on which things happen to it.
type plant struct {
	dies, grows, leaves int
	unused, told        bool // no graft was made of the label, and that it was told
}

func (p plant) alive(day int) bool { return !p.unused && p.dies > day && p.leaves > day }
func (p plant) dead(day int) bool  { return !p.unused && p.dies <= day && p.leaves == never }

// bench is a batch with its hidden truth, its history and its notebook.
type bench struct {
	batch   records.Batch
	days    plainDays
	grafted int
	plants  []plant // by number, from 1
	flushes []int   // by tray, from 1
	forgot  []int   // by tray: the day from which nobody looks at it for 70 days
	entries []records.Entry
	history records.History
	jots    []jot
	number  int // of times within days
	over    bool
}

// stems are those of a tray, from the sizes alone.
func (b *bench) stems(tray int) (from, to int) {
	size := b.batch.TraySize
	if size == 0 || size >= b.batch.Grafts {
		return 1, b.batch.Grafts
	}
	return (tray-1)*size + 1, min(tray*size, b.batch.Grafts)
}

func (b *bench) count(tray, day int, is func(plant, int) bool) (n int) {
	from, to := 1, b.batch.Grafts
	if tray > 0 {
		from, to = b.stems(tray)
	}
	for stem := from; stem <= to; stem++ {
		if is(b.plants[stem], day) {
			n++
		}
	}
	return n
}

func growingThen(p plant, day int) bool { return p.alive(day) && p.grows <= day }

// newBenches are so many batches, of 40 stems on average.
func newBenches(t *testing.T, batches int, random *rand.Rand) []*bench {
	var all []*bench
	left := 40 * batches
	for n := range batches {
		grafts := left / (batches - n)
		if n < batches-1 {
			grafts += random.IntN(21) - 10
		}
		left -= grafts
		b := &bench{grafted: random.IntN(60), number: 1}
		code, err := codes.New(seasonStart.AddDate(0, 0, b.grafted), n+1)
		require.NoError(t, err)
		draft := records.Draft{Date: code.Date(), Variety: "Grey Lantern", Stock: "Tall Sorrel", Grafts: grafts, TraySize: []int{0, 9, 10, 14, 20, 25}[random.IntN(6)]}
		b.days = plainDays{21, 7, 14, 84, 60}
		switch random.IntN(4) {
		case 0:
			draft.Stock, b.days = "Marsh Sorrel", plainDays{28, 6, 14, 84, 60}
		case 1:
			draft.Variety, b.days = "Ember Fold", plainDays{17, 7, 10, 70, 45}
		case 2:
			draft.Variety, draft.Stock, b.days = "EMBER fold", "marsh sorrel", plainDays{17, 6, 10, 70, 45}
		}
		b.batch = records.Batch{Code: code, Draft: draft}
		b.plants = make([]plant, grafts+1)
		for i := range b.plants {
			p := plant{dies: never, grows: b.grafted + 14 + random.IntN(30), leaves: never, unused: random.IntN(40) == 0}
			if random.IntN(5) == 0 {
				p.dies = b.grafted + 4 + random.IntN(80)
			}
			b.plants[i] = p
		}
		for range b.batch.Trays() + 1 {
			b.flushes = append(b.flushes, b.grafted+70+random.IntN(40))
			forgot := never
			if random.IntN(4) == 0 {
				forgot = b.grafted + 10 + random.IntN(90)
			}
			b.forgot = append(b.forgot, forgot)
		}
		b.history = records.NewHistory(b.batch, nil)
		all = append(all, b)
	}
	return all
}

func seasonCalendar() records.Calendar {
	return records.Calendar{
		Stocks:    map[string]records.Days{"Marsh Sorrel": {Look: 28, Again: 6}},
		Varieties: map[string]records.Days{"Ember Fold": {Look: 17, Harden: 10, Flush: 70, Question: 45}},
	}
}

// enter writes the same into the history and into the notebook. What is true is
// never refused.
func (b *bench) enter(t *testing.T, j jot) {
	t.Helper()
	b.number++
	j.number = b.number
	o := records.Entry{Unit: b.batch.Code, Moves: records.Moves{OutOfMist: j.out, Flushed: j.flushed, TieRemoved: j.bare, Sold: j.sold, Unused: j.unused}}
	o.At = time.Date(2026, time.January, 5+j.day, 6, 0, b.number, 0, time.FixedZone("", 2*60*60))
	switch {
	case j.stem > 0:
		o.Unit = stemOf(t, b.batch, j.stem)
	case j.tray > 0 && b.batch.Trays() > 1 || j.tray > 0 && b.number%2 == 0: // of one tray both codes are its name
		o.Unit = trayOf(t, b.batch, j.tray)
	}
	for _, count := range []struct {
		n    int
		into *records.Count
	}{{j.alive, &o.Alive}, {j.growing, &o.Growing}, {j.dead, &o.Dead}} {
		if count.n >= 0 {
			*count.into = records.Said(count.n)
		}
	}
	if j.note {
		o.Note = "soft tops"
	}
	entries, err := kept(b.history, b.entries, o)
	require.NoErrorf(t, err, "%s", told(b.batch, append(seenInOrder(b.entries, false), o)))
	b.entries, b.history = entries, records.NewHistory(b.batch, entries)
	b.jots = inOrder(append(b.jots, j))
}
