package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// part names a unit of a batch in a table: stems from 1, trays from -1, 0 for the
// batch.
type part int

func (p part) of(t testing.TB, b records.Batch) codes.Code {
	t.Helper()
	switch {
	case p > 0:
		return stemOf(t, b, int(p))
	case p < 0:
		return trayOf(t, b, int(-p))
	}
	return b.Code
}

// line is an entry in a table.
type line struct {
	part part
	day  int // from grafting
	records.Counts
	records.Moves
	note     string
	corrects int
}

func (l line) entry(t testing.TB, b records.Batch) records.Entry {
	t.Helper()
	o := records.Entry{Unit: l.part.of(t, b), Counts: l.Counts, Moves: l.Moves, Note: l.note, Corrects: l.corrects}
	if l.day >= 0 {
		o.At = b.Date.AddDate(0, 0, l.day).Add(10 * time.Hour)
	}
	return o
}

// entered is the history of a batch with entries that are all taken.
func entered(t testing.TB, b records.Batch, lines ...line) records.History {
	t.Helper()
	var entries []records.Entry
	c := records.NewHistory(b, nil)
	for _, l := range lines {
		next, err := kept(c, entries, l.entry(t, b))
		require.NoError(t, err)
		entries = next
		c = records.NewHistory(b, entries)
	}
	return c
}

func alive(n int) records.Counts   { return records.Counts{Alive: records.Said(n)} }
func dead(n int) records.Counts    { return records.Counts{Dead: records.Said(n)} }
func growing(n int) records.Counts { return records.Counts{Growing: records.Said(n)} }
func rooted(n int) records.Counts  { return records.Counts{Rooted: records.Said(n)} }
func sold(n int) records.Moves     { return records.Moves{Sold: n} }
func unused(n int) records.Moves   { return records.Moves{Unused: n} }

func TestTally(t *testing.T) {
	for _, row := range []struct {
		reason           string
		grafts, traySize int
		lines            []line
		part             part
		want             records.Tally
	}{
		{"nothing was entered", 40, 20, nil, 0, records.Tally{Stems: 40, Alive: 40}},
		{"a tray of a batch that nothing was entered of", 50, 20, nil, -3, records.Tally{Stems: 10, Alive: 10}},
		{"a stem of it", 50, 20, nil, 50, records.Tally{Stems: 1, Alive: 1}},
		{"who counts the living says how many are dead", 40, 20, []line{{part: -1, Counts: alive(18)}}, 0, records.Tally{Stems: 40, Alive: 38, Dead: 2}},
		{"the tray beside it is whole", 40, 20, []line{{part: -1, Counts: alive(18)}}, -2, records.Tally{Stems: 20, Alive: 20}},
		{"dead of a tray and of its stems: the tray's are more", 40, 20, []line{{part: -1, Counts: dead(3)}, {part: 4, Counts: dead(1)}, {part: 5, Counts: dead(1)}}, -1, records.Tally{Stems: 20, Alive: 17, Dead: 3}},
		{"its stems' are more", 40, 20, []line{{part: -1, Counts: dead(1)}, {part: 4, Counts: dead(1), day: 1}, {part: 5, Counts: dead(1), day: 1}}, -1, records.Tally{Stems: 20, Alive: 18, Dead: 2}},
		{"of trays and of the batch, too", 40, 20, []line{{part: 0, Counts: dead(3)}, {part: -1, Counts: dead(2), day: 1}, {part: 30, Counts: dead(1), day: 1}}, 0, records.Tally{Stems: 40, Alive: 37, Dead: 3}},
		{"and more by the trays", 40, 20, []line{{part: 0, Counts: dead(3)}, {part: -1, Counts: dead(3), day: 1}, {part: 30, Counts: dead(1), day: 1}}, 0, records.Tally{Stems: 40, Alive: 36, Dead: 4}},
		{"the same stem is dead once", 40, 20, []line{{part: 7, Counts: dead(1)}, {part: 7, Counts: alive(0), day: 1}}, 0, records.Tally{Stems: 40, Alive: 39, Dead: 1}},
		{"what left adds up over all", 40, 20, []line{{part: 3, Moves: sold(1)}, {part: -1, Moves: sold(2)}, {part: 0, Moves: sold(4)}}, 0, records.Tally{Stems: 40, Alive: 33, Sold: 7}},
		{"what left the batch left some tray, it is not said which", 40, 20, []line{{part: 3, Moves: sold(1)}, {part: -1, Moves: sold(2)}, {part: 0, Moves: sold(4)}}, -1, records.Tally{Stems: 20, Alive: 17, Sold: 3}},
		{"so many that some must be of this tray", 40, 20, []line{{part: 0, Moves: sold(25)}}, -1, records.Tally{Stems: 20, Alive: 15, Elsewhere: 5}},
		{"all are sold: nobody said of which tray, but all of it", 40, 20, []line{{part: 0, Moves: sold(40)}}, -2, records.Tally{Stems: 20, Elsewhere: 20}},
		{"most of the batch is dead, so some of the tray are", 40, 20, []line{{part: 0, Counts: alive(5)}}, -1, records.Tally{Stems: 20, Alive: 5, Dead: 15}},
		{"a sale of the batch leaves those dead but one", 40, 20, []line{{part: 0, Counts: alive(5)}, {part: 0, Moves: sold(1), day: 1}}, -1, records.Tally{Stems: 20, Alive: 4, Dead: 15, Elsewhere: 1}},
		{"counted after the sale: the dead and the sold are told apart", 40, 20, []line{{part: -1, Moves: sold(5), Counts: alive(13)}}, -1, records.Tally{Stems: 20, Alive: 13, Dead: 2, Sold: 5}},
		{"sold after the count", 40, 20, []line{{part: -1, Counts: alive(18)}, {part: -1, Moves: sold(5), day: 1}}, -1, records.Tally{Stems: 20, Alive: 13, Dead: 2, Sold: 5}},
		{"culled are not dead, planted are not sold", 40, 20, []line{{part: -1, Counts: alive(15), Moves: records.Moves{Culled: 2, Planted: 3}}}, -1, records.Tally{Stems: 20, Alive: 15, Culled: 2, Planted: 3}},
		{"labels told unused late were so when it was counted", 40, 20, []line{{part: -1, Counts: alive(15)}, {part: -1, Moves: unused(4), day: 9}}, -1, records.Tally{Stems: 20, Alive: 15, Dead: 1, Unused: 4}},
		{"told before", 40, 20, []line{{part: -1, Moves: unused(4)}, {part: -1, Counts: alive(15), day: 9}}, -1, records.Tally{Stems: 20, Alive: 15, Dead: 1, Unused: 4}},
		{"told of a stem", 40, 20, []line{{part: -1, Counts: alive(15)}, {part: 9, Moves: unused(1), day: 9}}, -1, records.Tally{Stems: 20, Alive: 15, Dead: 4, Unused: 1}},
		{"told of the batch: it is not known of which tray", 40, 20, []line{{part: -1, Counts: alive(15)}, {part: 0, Moves: unused(4), day: 9}}, -1, records.Tally{Stems: 20, Alive: 15, Dead: 1, Elsewhere: 4}},
		{"one tray: its code is the batch's", 12, 0, []line{{part: -1, Counts: alive(10)}, {part: 0, Moves: sold(4), day: 1}}, -1, records.Tally{Stems: 12, Alive: 6, Dead: 2, Sold: 4}},
		{"one tray: a tray size as large as the batch", 12, 12, []line{{part: -1, Counts: alive(10)}}, 0, records.Tally{Stems: 12, Alive: 10, Dead: 2}},
		{"growing of a later count", 40, 20, []line{{part: -1, Counts: growing(4)}, {part: -1, Counts: growing(9), day: 7}}, 0, records.Tally{Stems: 40, Alive: 40, Growing: 9}},
		{"fewer grow by a later count: it holds", 40, 20, []line{{part: -1, Counts: growing(9)}, {part: -1, Counts: growing(4), day: 7}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 4}},
		{"none by a later count", 40, 20, []line{{part: -1, Counts: growing(9)}, {part: -1, Counts: growing(0), day: 7}}, -1, records.Tally{Stems: 20, Alive: 20}},
		{"stems that grow are among those of the tray", 40, 20, []line{{part: -1, Counts: growing(4)}, {part: 1, Counts: growing(1), day: 1}, {part: 2, Counts: growing(1), day: 1}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 4}},
		{"stems seen before the tray was counted count no more", 40, 20, []line{{part: 1, Counts: growing(1)}, {part: 2, Counts: growing(1)}, {part: -1, Counts: growing(1), day: 1}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 1}},
		{"more stems seen after it than it had", 40, 20, []line{{part: -1, Counts: growing(1)}, {part: 1, Counts: growing(1), day: 1}, {part: 2, Counts: rooted(1), day: 1}, {part: 3, Counts: growing(1), day: 2}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 2, Rooted: 1}},
		{"no more grow than live", 40, 20, []line{{part: -1, Counts: growing(9)}, {part: -1, Counts: alive(6), day: 7}}, -1, records.Tally{Stems: 20, Alive: 6, Growing: 6, Dead: 14}},
		{"stems seen on the day on which the tray was counted", 40, 20, []line{{part: 1, Counts: growing(1)}, {part: 2, Counts: growing(1)}, {part: -1, Counts: growing(1)}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 2}},
		{"all of the batch, so the only one of the last tray", 41, 20, []line{{part: 0, Counts: growing(41)}}, -3, records.Tally{Stems: 1, Alive: 1, Growing: 1}},
		{"and each stem", 41, 20, []line{{part: 0, Counts: rooted(41)}}, 7, records.Tally{Stems: 1, Alive: 1, Rooted: 1}},
		{"all but one: it may be this", 41, 20, []line{{part: 0, Counts: rooted(40)}}, 7, records.Tally{Stems: 1, Alive: 1}},
		{"so many of the batch that some must be of the tray", 40, 20, []line{{part: 0, Counts: growing(30)}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 10}},
		{"unless the tray was counted later", 40, 20, []line{{part: 0, Counts: growing(30)}, {part: -1, Counts: growing(8), day: 1}}, -1, records.Tally{Stems: 20, Alive: 20, Growing: 8}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, row.grafts, row.traySize)
			c := entered(t, b, row.lines...)
			require.Equal(t, row.want, c.Tally(row.part.of(t, b)))
			require.NoError(t, adds(c.Tally(row.part.of(t, b))))
		})
	}
}

// Counts before labels were added are of the stems there were.
func TestTallyOfAnExtendedBatch(t *testing.T) {
	small := batch(t, 30, 20)
	before := entered(t, small, line{part: -2, Counts: alive(8)}, line{part: 0, Counts: alive(26), day: 1}, line{part: -2, Moves: sold(3), day: 2})
	var entries []records.Entry
	for _, entry := range before.Entries(small.Code) {
		entries = append(entries, entry.Entry)
	}
	b := small
	b.Grafts = 65
	c := records.NewHistory(b, entries)
	for _, row := range []struct {
		reason string
		part   part
		want   records.Tally
	}{
		{"the batch has all that came", 0, records.Tally{Stems: 65, Alive: 58, Dead: 4, Sold: 3}},
		{"the first tray is as it was", -1, records.Tally{Stems: 20, Alive: 20}},
		{"the tray that was filled up", -2, records.Tally{Stems: 20, Alive: 15, Dead: 2, Sold: 3}},
		{"a new tray", -3, records.Tally{Stems: 20, Alive: 20}},
		{"the last", -4, records.Tally{Stems: 5, Alive: 5}},
	} {
		require.Equal(t, row.want, c.Tally(row.part.of(t, b)), row.reason)
	}
	o := line{part: 0, day: 40, Moves: unused(35)}.entry(t, b)
	c, err := c.With(o)
	require.NoError(t, err, "as many unused as were added are no more than the old counts allow")
	require.Equal(t, records.Tally{Stems: 65, Alive: 27, Sold: 3, Unused: 35}, c.Tally(b.Code), "the four that were missing may be such labels, and not dead")

	single := batch(t, 15, 20)
	one := entered(t, single, line{part: -1, Counts: alive(12)})
	single.Grafts = 25
	c = records.NewHistory(single, []records.Entry{one.Entries(single.Code)[0].Entry})
	require.Equal(t, records.Tally{Stems: 20, Alive: 17, Dead: 3}, c.Tally(trayOf(t, single, 1)), "what was the batch is the first of two trays")
	require.Equal(t, records.Tally{Stems: 25, Alive: 22, Dead: 3}, c.Tally(single.Code))
}

func TestWords(t *testing.T) {
	for _, row := range []struct {
		reason string
		o      records.Entry
		words  string
	}{
		{"all there is to say", records.Entry{Note: "soft; tall", Counts: records.Counts{Alive: records.Said(34), Growing: records.Said(12), Rooted: records.Said(1), Dead: records.Said(2)},
			Moves: records.Moves{OutOfMist: true, Flushed: true, TieRemoved: true, Sold: 3, Planted: 2, Culled: 1, Unused: 4}},
			"34 alive, 12 growing, 1 rooted, 2 dead; out of mist; made a full flush; tie removed; 3 sold; 2 planted; 1 culled; 4 unused; note soft; tall"},
		{"none counted is said, not counted is not", records.Entry{Counts: growing(0)}, "0 growing"},
		{"a move alone", records.Entry{Moves: records.Moves{OutOfMist: true}}, "out of mist"},
		{"a note alone", records.Entry{Note: "x"}, "note x"},
		{"a correction", records.Entry{Corrects: 7, Counts: alive(3)}, "3 alive; in place of entry 7"},
		{"a withdrawal", records.Entry{Corrects: 7}, "undoes entry 7"},
		{"nothing", records.Entry{}, ""},
	} {
		require.Equal(t, row.words, row.o.Words(), row.reason)
		require.Equal(t, row.words == "", row.o.Empty() && row.o.Corrects == 0, row.reason)
	}
	n, is := records.Said(0).Value()
	require.True(t, is)
	require.Zero(t, n)
	require.Equal(t, "0", records.Said(0).String())
	require.Equal(t, "", records.Count{}.String())
}
