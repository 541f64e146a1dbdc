package records_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

func note(part part, day int) line { return line{part: part, day: day, note: "x"} }

func out(part part, day int) line {
	return line{part: part, day: day, Moves: records.Moves{OutOfMist: true}}
}

func flushed(part part, day int) line {
	return line{part: part, day: day, Moves: records.Moves{Flushed: true}}
}

func unwrapped(part part, day int) line {
	return line{part: part, day: day, Moves: records.Moves{TieRemoved: true}}
}

func grew(part part, day, n int) line { return line{part: part, day: day, Counts: growing(n)} }

// Of a batch of 40 in two trays, what is due of the first on a day.
func TestDue(t *testing.T) {
	const none = records.Task(0)
	for _, row := range []struct {
		reason string
		lines  []line
		today  int
		task   records.Task
		from   int // day from grafting
		why    string
	}{
		{"before it is grafted", nil, -5, records.LookForGrowth, 21, "day 21 under mist"},
		{"on the day of grafting", nil, 0, records.LookForGrowth, 21, "day 21 under mist"},
		{"from day 21 on", nil, 21, records.LookForGrowth, 21, "day 21 under mist"},
		{"and later", nil, 59, records.LookForGrowth, 21, "day 21 under mist"},
		{"nobody looked for 60 days", nil, 60, records.Ask, 60, "nothing entered since 2026-11-25"},
		{"a look before the first is not it", []line{note(-1, 20)}, 21, records.LookForGrowth, 21, "day 21 under mist"},
		{"looked on the day, and none grew", []line{grew(-1, 21, 0)}, 21, records.LookForGrowth, 28, "no new growth on 2026-12-16"},
		{"none of the whole batch grew", []line{grew(0, 25, 0)}, 25, records.LookForGrowth, 32, "no new growth on 2026-12-20"},
		{"none of the other tray is no look at this", []line{grew(-2, 25, 0)}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"a stem of it that does not grow is none", []line{grew(5, 25, 0)}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"a note says nothing of growth", []line{note(-1, 25)}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"nor do the living and the dead", []line{{part: -1, day: 25, Counts: records.Counts{Alive: records.Said(18), Dead: records.Said(2)}}}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"nor those with roots", []line{{part: -1, day: 25, Counts: rooted(4)}}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"a sale is none", []line{{part: -1, day: 25, Moves: sold(1)}}, 25, records.LookForGrowth, 21, "day 21 under mist"},
		{"some grow", []line{grew(-1, 21, 3)}, 21, records.LookAgain, 28, "new growth on 3 of 20 so far"},
		{"half is not most", []line{grew(-1, 21, 10)}, 21, records.LookAgain, 28, "new growth on 10 of 20 so far"},
		{"a count of the living does not put off the next look", []line{grew(-1, 21, 3), {part: -1, day: 26, Counts: alive(19)}}, 26, records.LookAgain, 28, "new growth on 3 of 19 so far"},
		{"nor does a note", []line{grew(-1, 21, 3), note(-1, 26)}, 26, records.LookAgain, 28, "new growth on 3 of 20 so far"},
		{"some grew before the first look was due", []line{grew(-1, 15, 3)}, 15, records.LookAgain, 22, "new growth on 3 of 20 so far"},
		{"and again before it", []line{grew(-1, 12, 2), grew(-1, 15, 3)}, 15, records.LookAgain, 19, "new growth on 3 of 20 so far"},
		{"none grew in between", []line{grew(-1, 12, 2), grew(-1, 14, 0), grew(-1, 15, 3)}, 15, records.LookAgain, 22, "new growth on 3 of 20 so far"},
		{"a stem that grows", []line{grew(5, 23, 1)}, 23, records.LookAgain, 30, "new growth on 1 of 20 so far"},
		{"most grow", []line{grew(-1, 21, 3), grew(-1, 28, 11)}, 28, records.HardenOff, 28, "new growth on 11 of 20, more than half"},
		{"most of those that live", []line{grew(-1, 21, 10), {part: -1, day: 30, Counts: alive(19)}}, 30, records.HardenOff, 30, "new growth on 10 of 19, more than half"},
		{"since it was most without a break", []line{grew(-1, 21, 12), grew(-1, 22, 9), grew(-1, 24, 11), grew(-1, 29, 15)}, 29, records.HardenOff, 24, "new growth on 15 of 20, more than half"},
		{"most, by stems", []line{{part: -1, day: 20, Counts: alive(3)}, grew(5, 23, 1), grew(6, 24, 1), grew(7, 25, 1)}, 25, records.HardenOff, 24, "new growth on 3 of 3, more than half"},
		{"most grew too early to look", []line{grew(-1, 9, 15)}, 9, records.HardenOff, 9, "new growth on 15 of 20, more than half"},
		{"of the whole batch, so of the tray", []line{grew(0, 22, 35)}, 22, records.HardenOff, 22, "new growth on 15 of 20, more than half"},
		{"hardening off: the flush comes next", []line{grew(-1, 28, 11), out(-1, 30)}, 43, records.LookForFlush, 84, "day 84, and hardened off"},
		{"with the whole batch", []line{out(0, 30)}, 43, records.LookForFlush, 84, "day 84, and hardened off"},
		{"hardened off", []line{out(-1, 30)}, 44, records.LookForFlush, 84, "day 84, and hardened off"},
		{"taken out late", []line{out(-1, 75)}, 89, records.LookForFlush, 89, "day 84, and hardened off"},
		{"while that hardens off", []line{out(-1, 75)}, 88, records.LookForFlush, 89, "day 84, and hardened off"},
		{"out of mist a second time says nothing new", []line{out(-1, 30), out(-1, 40)}, 44, records.LookForFlush, 84, "day 84, and hardened off"},
		{"a look before day 84 is not it", []line{out(-1, 30), note(-1, 83)}, 84, records.LookForFlush, 84, "day 84, and hardened off"},
		{"looked on day 84", []line{out(-1, 30), note(-1, 84)}, 84, records.LookForFlush, 91, "no full flush on 2027-02-17"},
		{"any count is a look at the flush", []line{out(-1, 30), {part: -1, day: 84, Counts: alive(20)}}, 84, records.LookForFlush, 91, "no full flush on 2027-02-17"},
		{"a sale is none of it", []line{out(-1, 30), {part: -1, day: 84, Moves: sold(1)}}, 84, records.LookForFlush, 84, "day 84, and hardened off"},
		{"weekly", []line{out(-1, 30), note(-1, 84), note(-1, 95)}, 95, records.LookForFlush, 102, "no full flush on 2027-02-28"},
		{"flushed", []line{out(-1, 30), flushed(-1, 90)}, 95, records.RemoveTie, 90, "the new top has made a full flush"},
		{"flushed while it hardens off", []line{out(-1, 30), flushed(-1, 33)}, 33, records.RemoveTie, 33, "the new top has made a full flush"},
		{"flushed without a word of the mist", []line{flushed(-1, 33)}, 33, records.RemoveTie, 33, "the new top has made a full flush"},
		{"unwrapped: nothing more", []line{out(-1, 30), flushed(-1, 90), unwrapped(-1, 95)}, 300, none, 0, ""},
		{"unwrapped with the batch", []line{unwrapped(0, 95)}, 300, none, 0, ""},
		{"a stem that was unwrapped is not the tray", []line{unwrapped(5, 33), out(6, 33)}, 33, records.LookForGrowth, 21, "day 21 under mist"},
		{"all dead: nothing more", []line{{part: -1, day: 30, Counts: alive(0)}}, 300, none, 0, ""},
		{"all sold with the batch", []line{{part: 0, day: 30, Moves: sold(40)}}, 300, none, 0, ""},
		{"the question comes first, once it is due and later than the task's day", []line{out(-1, 30)}, 90, records.Ask, 90, "nothing entered since 2026-12-25"},
		{"on the same day the task comes first", []line{out(-1, 24)}, 84, records.LookForFlush, 84, "day 84, and hardened off"},
		{"labels told unused: of the others it is most", []line{grew(-1, 21, 10), {part: -1, day: 30, Moves: unused(1)}}, 30, records.HardenOff, 30, "new growth on 10 of 19, more than half"},
		{"not the day before", []line{out(-1, 30)}, 89, records.LookForFlush, 84, "day 84, and hardened off"},
		{"an entry of a stem of it answers it", []line{out(-1, 30), note(5, 60)}, 90, records.LookForFlush, 84, "day 84, and hardened off"},
		{"an entry of the batch, too", []line{out(-1, 30), note(0, 60)}, 90, records.LookForFlush, 84, "day 84, and hardened off"},
		{"one of the other tray does not", []line{out(-1, 30), note(-2, 60)}, 90, records.Ask, 90, "nothing entered since 2026-12-25"},
		{"what was withdrawn was not seen", []line{grew(-1, 21, 15), {part: -1, day: -1, corrects: 1}}, 40, records.LookForGrowth, 21, "day 21 under mist"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, 40, 20)
			c := entered(t, b, row.lines...)
			today := b.Date.AddDate(0, 0, row.today)
			due, is := c.DueOf(trayOf(t, b, 1), records.UsualDays(), today)
			if row.task == none {
				require.False(t, is, due)
				return
			}
			require.True(t, is)
			require.Equal(t, row.task, due.Task, due.Reason)
			require.Equal(t, b.Date.AddDate(0, 0, row.from), due.From)
			require.Equal(t, row.why, due.Reason)
			require.Equal(t, trayOf(t, b, 1), due.Unit)
			require.Equal(t, c.Tally(due.Unit), due.Tally)
			ofStem, is := c.DueOf(stemOf(t, b, 20), records.UsualDays(), today)
			require.True(t, is)
			require.Equal(t, due, ofStem, "a stem's is that of its tray")
			require.Equal(t, due, c.Due(records.UsualDays(), today)[0])
		})
	}
}

func TestDueOfOneTray(t *testing.T) {
	b := batch(t, 12, 12)
	c := entered(t, b, grew(-1, 21, 7))
	all := c.Due(records.UsualDays(), b.Date.AddDate(0, 0, 22))
	require.Len(t, all, 1)
	require.Equal(t, trayOf(t, b, 1), all[0].Unit, "it goes by the code on the card of the tray")
	require.Equal(t, records.HardenOff, all[0].Task)
	for _, unit := range unitsOf(t, b) {
		due, is := c.DueOf(unit, records.UsualDays(), b.Date.AddDate(0, 0, 22))
		require.True(t, is)
		require.Equal(t, all[0], due)
	}
	_, is := c.DueOf(stemOf(t, batch(t, 13, 13), 13), records.UsualDays(), b.Date)
	require.False(t, is, "a stem that it does not have")
}

func TestStage(t *testing.T) {
	for _, row := range []struct {
		reason string
		lines  []line
		part   part
		today  int
		stage  records.Stage
	}{
		{"the day before grafting", nil, -1, -1, records.Ahead},
		{"the day of grafting", nil, -1, 0, records.UnderMist},
		{"for ever, where nothing is entered", nil, -1, 400, records.UnderMist},
		{"taken out", []line{out(-1, 30)}, -1, 30, records.HardeningOff},
		{"the last day of hardening off", []line{out(-1, 30)}, -1, 43, records.HardeningOff},
		{"hardened off", []line{out(-1, 30)}, -1, 44, records.GrowingOn},
		{"the other tray is not out", []line{out(-1, 30)}, -2, 44, records.UnderMist},
		{"nor is the batch", []line{out(-1, 30)}, 0, 44, records.UnderMist},
		{"the batch is out with its last tray", []line{out(-1, 30), out(-2, 40)}, 0, 44, records.HardeningOff},
		{"and hardened off 14 days after it", []line{out(-1, 30), out(-2, 40)}, 0, 54, records.GrowingOn},
		{"a tray in which none lives does not count", []line{out(-1, 30), {part: -2, day: 20, Counts: alive(0)}}, 0, 44, records.GrowingOn},
		{"trays that came out with the batch", []line{out(0, 30)}, -2, 30, records.HardeningOff},
		{"a stem stands where its tray does", []line{out(-1, 30)}, 7, 30, records.HardeningOff},
		{"flushed", []line{flushed(-1, 30)}, -1, 30, records.GrowingOn},
		{"unwrapped", []line{unwrapped(-1, 30)}, -1, 30, records.Finished},
		{"the batch is finished with its last tray", []line{unwrapped(-1, 30), unwrapped(-2, 31)}, 0, 31, records.Finished},
		{"trays that both grow on, one flushed before it was hardened off", []line{out(-1, 10), flushed(-2, 30)}, 0, 31, records.GrowingOn},
		{"not before", []line{unwrapped(-1, 30), flushed(-2, 31)}, 0, 31, records.GrowingOn},
		{"all that lived were sold", []line{{part: -1, day: 9, Counts: alive(5)}, {part: -1, day: 10, Moves: sold(5)}}, -1, 10, records.Finished},
		{"or planted", []line{{part: -1, day: 9, Counts: alive(5)}, {part: -1, day: 10, Moves: records.Moves{Planted: 5}}}, -1, 10, records.Finished},
		{"sold with the whole batch", []line{{part: 0, day: 10, Moves: sold(40)}}, -1, 10, records.Finished},
		{"all dead", []line{{part: -1, day: 9, Counts: alive(0)}}, -1, 10, records.Lost},
		{"all culled", []line{{part: -1, day: 9, Moves: records.Moves{Culled: 20}}}, -1, 10, records.Lost},
		{"a dead stem", []line{{part: 7, day: 9, Counts: dead(1)}}, 7, 10, records.Lost},
		{"a sold stem", []line{{part: 7, day: 9, Moves: sold(1)}}, 7, 10, records.Finished},
		{"culled with the whole batch", []line{{part: 0, day: 10, Moves: records.Moves{Culled: 40}}}, -1, 10, records.Lost},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, 40, 20)
			require.Equal(t, row.stage, entered(t, b, row.lines...).Stage(row.part.of(t, b), records.UsualDays(), b.Date.AddDate(0, 0, row.today)))
		})
	}
}

// Days of a nursery, with those of a variety before those of a stock.
func TestDueByTheCalendar(t *testing.T) {
	calendar := records.Calendar{
		All:       records.Days{Look: 20},
		Stocks:    map[string]records.Days{"Tall Sorrel": {Look: 28, Again: 4, Harden: 9}},
		Varieties: map[string]records.Days{"Grey Lantern": {Again: 3, Flush: 60, Question: 50}},
	}
	for _, row := range []struct {
		reason, variety, stock             string
		first, again, harden, flush, asked int
	}{
		{"all", "Ember Fold", "Low Sorrel", 20, 7, 14, 84, 60},
		{"a stock", "Ember Fold", "tall sorrel", 28, 4, 9, 84, 60},
		{"a variety", "Grey LANTERN", "Low Sorrel", 20, 3, 14, 60, 50},
		{"both", "Grey Lantern", "Tall Sorrel", 28, 3, 9, 60, 50},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, 12, 0)
			b.Variety, b.Stock = row.variety, row.stock
			days := calendar.For(row.variety, row.stock)
			due := func(today int, lines ...line) (records.Task, int) {
				due, is := entered(t, b, lines...).DueOf(b.Code, days, b.Date.AddDate(0, 0, today))
				require.True(t, is)
				return due.Task, b.DaysSince(due.From)
			}
			task, from := due(1)
			require.Equal(t, records.LookForGrowth, task)
			require.Equal(t, row.first, from)
			_, from = due(30, grew(0, 30, 0))
			require.Equal(t, 30+row.again, from)
			task, from = due(30, out(0, 30))
			require.Equal(t, records.LookForFlush, task)
			require.Equal(t, row.flush, from)
			task, from = due(80, out(0, 80))
			require.Equal(t, records.LookForFlush, task)
			require.Equal(t, 80+row.harden, from, "not before it is hardened off")
			task, from = due(row.asked)
			require.Equal(t, records.Ask, task)
			require.Equal(t, row.asked, from)
			task, _ = due(row.asked - 1)
			require.Equal(t, records.LookForGrowth, task)
		})
	}
}
