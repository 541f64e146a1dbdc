package records_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/testdata/long"
)

// blank is an entry about a tray that counts nothing.
func blank(day, tray int) jot { return jot{day: day, tray: tray, alive: -1, growing: -1, dead: -1} }

// counted counts a tray as it was on a day.
func (b *bench) counted(day, tray int, random *rand.Rand) jot {
	j := blank(day, tray)
	j.alive, j.growing = b.count(tray, day, plant.alive), b.count(tray, day, growingThen)
	if random.IntN(2) == 0 { // who counts the dead as well says which labels are unused
		from, to := b.stems(tray)
		for stem := from; stem <= to; stem++ {
			if p := &b.plants[stem]; p.unused && !p.told {
				p.told = true
				j.unused++
			}
		}
		j.dead = b.count(tray, day, plant.dead)
	}
	return j
}

// act does what is due, or something else.
func (b *bench) act(t *testing.T, task string, today, tray int, random *rand.Rand) {
	seen := today
	if random.IntN(6) == 0 { // written down some days late
		seen = max(b.grafted, today-random.IntN(4))
	}
	j := blank(seen, tray)
	switch task {
	case "look", "look-again", "ask":
		switch random.IntN(5) {
		case 0:
			j.note = true
		case 1:
			for range 3 {
				b.oneStem(t, seen, tray, random)
			}
			return
		default:
			j = b.counted(seen, tray, random)
		}
	case "harden-off":
		j.out = true
		if random.IntN(8) == 0 {
			j.tray = 0
			if b.batch.Trays() == 1 {
				j.tray = 1
			}
		}
	case "look-for-flush":
		switch {
		case b.flushes[tray] <= seen:
			j.flushed = true
		case random.IntN(2) == 0:
			j.note = true
		default:
			j = b.counted(seen, tray, random)
		}
	case "remove-tie":
		j.bare = true
	}
	b.enter(t, j)
}

// oneStem enters what one stem of a tray is like.
func (b *bench) oneStem(t *testing.T, day, tray int, random *rand.Rand) {
	from, to := b.stems(tray)
	j := blank(day, tray)
	j.stem = from + random.IntN(to-from+1)
	switch p := &b.plants[j.stem]; {
	case p.unused && p.told, p.leaves < never:
		return // it is not there
	case p.unused:
		p.told, j.unused = true, 1
	case p.dead(day) && random.IntN(2) == 0:
		j.dead = 1
	case p.dead(day):
		j.alive = 0
	default:
		j.growing = b.count(tray, day, func(q plant, day int) bool { return q == *p && growingThen(q, day) })
		j.growing = min(j.growing, 1)
	}
	b.enter(t, j)
}

// sell sells some living stems of a tray without saying which, or one of them.
// What is sold today was there on all days before.
func (b *bench) sell(t *testing.T, today, tray, most int, byStem bool, random *rand.Rand) {
	j := blank(today, tray)
	from, to := 1, b.batch.Grafts
	if tray > 0 {
		from, to = b.stems(tray)
	}
	for _, i := range random.Perm(to - from + 1) {
		p := &b.plants[from+i]
		if j.sold == most || !p.alive(today) || p.dies < never && tray > 0 { // those that will die stay, to be found dead
			continue
		}
		j.sold++
		p.leaves = today
		if byStem {
			j.stem = from + i
			break
		}
	}
	if j.sold > 0 {
		b.enter(t, j)
	}
}

// A season of 15 batches, in the long form 60, day by day: what is due is what the rules say, and what
// is known is never at odds with what is so.
func TestSeason(t *testing.T) {
	random := rand.New(rand.NewPCG(2026, 6))
	benches, calendar := newBenches(t, long.Cases(15, 60), random), seasonCalendar()
	tasks := map[string]int{}
	for today := range 230 {
		for _, b := range benches {
			days := calendar.For(b.batch.Variety, b.batch.Stock)
			b.hold(t, today)
			for tray := 1; tray <= b.batch.Trays(); tray++ {
				due, is := b.history.DueOf(trayOf(t, b.batch, tray), days, seasonStart.AddDate(0, 0, today))
				task, from := b.plain(tray).due(today, b.mayLive())
				if is {
					require.Equalf(t, task, due.Task.Word(), "day %d, tray %d\n%s", today, tray, told(b.batch, seenInOrder(b.entries, false)))
					require.Equalf(t, seasonStart.AddDate(0, 0, from), due.From, "day %d, tray %d, %s\n%s", today, tray, task, told(b.batch, seenInOrder(b.entries, false)))
				} else {
					require.Emptyf(t, task, "day %d, tray %d\n%s", today, tray, told(b.batch, seenInOrder(b.entries, false)))
				}
				forgotten := today >= b.forgot[tray] && today < b.forgot[tray]+70
				switch {
				case b.over || today < b.grafted || forgotten:
				case is && from <= today && random.IntN(10) < 7:
					tasks[task]++
					b.act(t, task, today, tray, random)
				case today > b.grafted+60 && random.IntN(60) == 0:
					b.sell(t, today, tray, 1+random.IntN(4), random.IntN(2) == 0, random)
				case random.IntN(80) == 0:
					b.oneStem(t, today, tray, random)
				case random.IntN(120) == 0 && b.batch.Trays() > 1:
					j := blank(today, 0)
					j.note = true
					b.enter(t, j)
				}
			}
			if !b.over && today > b.grafted+120 && random.IntN(40) == 0 && b.batch.Trays() > 1 {
				b.over = true
				b.sell(t, today, 0, never, false, random)
			}
		}
	}
	entries := 0
	for _, b := range benches {
		entries += len(b.entries)
	}
	t.Logf("%d entries, tasks done: %v", entries, tasks)
	for _, task := range []string{"look", "look-again", "harden-off", "look-for-flush", "remove-tie", "ask"} {
		require.Greater(t, tasks[task], len(benches)/6, task)
	}
}

func (b *bench) plain(tray int) plainTray {
	from, to := b.stems(tray)
	return plainTray{tray: tray, size: to - from + 1, grafted: b.grafted, days: b.days, jots: b.jots}
}

// mayLive is how many may live in the batch: those of the trays but for those
// that were sold of the whole.
func (b *bench) mayLive() int {
	n := 0
	for tray := 1; tray <= b.batch.Trays(); tray++ {
		alive, _ := b.plain(tray).known(b.jots)
		n += alive
	}
	for _, j := range b.jots {
		if j.tray == 0 {
			n -= j.sold
		}
	}
	return n
}

// hold holds the tallies against the truth.
func (b *bench) hold(t *testing.T, today int) {
	t.Helper()
	hidden := func(p plant, _ int) bool { return p.unused && !p.told }
	for tray := 0; tray <= b.batch.Trays(); tray++ {
		unit := b.batch.Code
		if tray > 0 {
			unit = trayOf(t, b.batch, tray)
		}
		tally := b.history.Tally(unit)
		require.NoError(t, adds(tally))
		alive, dead := b.count(tray, today, plant.alive), b.count(tray, today, plant.dead)
		require.GreaterOrEqualf(t, tally.Alive, alive, "day %d, %v\n%s", today, unit, told(b.batch, seenInOrder(b.entries, false)))
		require.LessOrEqualf(t, tally.Dead, dead+b.count(tray, today, hidden), "day %d, %v\n%s", today, unit, told(b.batch, seenInOrder(b.entries, false)))
		sold := 0
		for _, j := range b.jots {
			if tray == 0 || j.tray == tray {
				sold += j.sold
			}
		}
		require.Equal(t, sold, tally.Sold)
	}
	require.Equalf(t, b.mayLive(), b.history.Tally(b.batch.Code).Alive, "day %d\n%s", today, told(b.batch, seenInOrder(b.entries, false)))
}

// The days of the calendar are those of the plain rules.
func TestSeasonCalendar(t *testing.T) {
	require.Equal(t, records.Days{Look: 17, Again: 6, Harden: 10, Flush: 70, Question: 45}, seasonCalendar().For("Ember fold", "MARSH Sorrel"))
}
