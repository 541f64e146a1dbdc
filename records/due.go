package records

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
)

// Task is work to do on plants.
type Task uint8

// The tasks. The zero Task is none.
const (
	LookForGrowth Task = iota + 1 // is there new growth?
	LookAgain                     // there is: on more than half?
	HardenOff                     // take it out of the mist
	LookForFlush                  // has the new top made a full flush?
	RemoveTie                     // it has: remove the tie
	Ask                           // no entry for long: is it still there?
)

// String returns the task in words.
func (t Task) String() string {
	return [...]string{"nothing", "check for new growth", "check whether most are growing", "harden off",
		"check for a full flush", "remove the tie", "check whether it is still there"}[t]
}

// Word names the task in one word, for programs.
func (t Task) Word() string {
	return [...]string{"none", "look", "look-again", "harden-off", "look-for-flush", "remove-tie", "ask"}[t]
}

// Due is a task for one tray, or for a batch without trays.
type Due struct {
	Batch  Batch
	Unit   codes.Code
	Task   Task
	From   time.Time // the day from which it is due, at midnight UTC
	Reason string    // in words, without a full stop
	Tally  Tally
}

// Due returns the next task of each unit of the batch that has one, in the order of
// the trays. A unit has one task at a time. Once Ask is due it comes before others.
func (h History) Due(days Days, today time.Time) []Due {
	var all []Due
	for _, unit := range h.Units() {
		if due, is := h.DueOf(unit, days, today); is {
			all = append(all, due)
		}
	}
	return all
}

// DueOn returns the next tasks of all batches on a day, the earliest first.
func DueOn(histories []History, calendar Calendar, today time.Time) []Due {
	var all []Due
	for _, c := range histories {
		all = append(all, c.Due(calendar.For(c.Batch.Variety, c.Batch.Stock), today)...)
	}
	slices.SortStableFunc(all, func(a, b Due) int {
		return cmp.Or(a.From.Compare(b.From), cmp.Compare(b.Task, a.Task), codes.Compare(a.Unit, b.Unit))
	})
	return all
}

// DueOf returns the next task of a unit; for a stem, the task of its tray. Due.Unit is
// the code on the tray's card, also where the batch stands in one tray.
func (h History) DueOf(unit codes.Code, days Days, today time.Time) (Due, bool) {
	if unit = h.plain(unit); unit.Kind() == codes.Stem {
		tray, err := unit.Tray(h.Batch.TrayOf(unit.Number()))
		if err != nil {
			return Due{}, false // a stem that the batch does not have
		}
		unit = h.plain(tray)
	}
	due, is := h.nextTask(unit, days, today)
	due.Unit = h.card(unit)
	return due, is
}

// nextTask returns the next task of a tray, or of a batch in one tray.
func (h History) nextTask(unit codes.Code, days Days, today time.Time) (Due, bool) {
	due := Due{Batch: h.Batch, Unit: unit, Tally: h.Tally(unit)}
	ask := due
	last := h.lastSeen(unit)
	ask.Task, ask.From = Ask, last.AddDate(0, 0, days.Question)
	ask.Reason = fmt.Sprintf("nothing entered since %s", last.Format(time.DateOnly))
	switch h.Stage(unit, days, today) {
	case UnderMist, Ahead:
		h.underMist(&due, days)
	case HardeningOff, GrowingOn:
		h.growingOn(&due, days)
	default:
		return Due{}, false
	}
	if !ask.From.After(Midnight(today)) && due.From.Before(ask.From) {
		return ask, true
	}
	return due, true
}

// underMist sets the task of a unit under mist.
func (h History) underMist(due *Due, days Days) {
	first := h.Batch.Date.AddDate(0, 0, days.Look)
	look, looked := h.lastLook(due.Unit, first, func(o Entry) bool { return o.Growing.said })
	t := due.Tally
	switch {
	case t.mostGrow():
		due.Task, due.From = HardenOff, h.since(due.Unit, Tally.mostGrow)
		due.Reason = fmt.Sprintf("new growth on %d of %d, more than half", t.Growing, t.Alive)
	case t.Growing > 0:
		if !looked {
			look = h.since(due.Unit, func(t Tally) bool { return t.Growing > 0 })
		}
		due.Task, due.From = LookAgain, look.AddDate(0, 0, days.Again)
		due.Reason = fmt.Sprintf("new growth on %d of %d so far", t.Growing, t.Alive)
	case looked:
		due.Task, due.From = LookForGrowth, look.AddDate(0, 0, days.Again)
		due.Reason = fmt.Sprintf("no new growth on %s", look.Format(time.DateOnly))
	default:
		due.Task, due.From = LookForGrowth, first
		due.Reason = fmt.Sprintf("day %d under mist", days.Look)
	}
}

// growingOn sets the task of a unit that is out of the mist and still tied.
func (h History) growingOn(due *Due, days Days) {
	if day, flushed := h.reached(due.Unit, func(m Moves) bool { return m.Flushed }); flushed {
		due.Task, due.From, due.Reason = RemoveTie, day, "the new top has made a full flush"
		return
	}
	first := h.Batch.Date.AddDate(0, 0, days.Flush)
	if out, is := h.OutOfMist(due.Unit); is && out.AddDate(0, 0, days.Harden).After(first) {
		first = out.AddDate(0, 0, days.Harden)
	}
	due.Task, due.From, due.Reason = LookForFlush, first, fmt.Sprintf("day %d, and hardened off", days.Flush)
	if look, looked := h.lastLook(due.Unit, first, func(o Entry) bool { return o.Counted() || o.Note != "" }); looked {
		due.From = look.AddDate(0, 0, days.Again)
		due.Reason = fmt.Sprintf("no full flush on %s", look.Format(time.DateOnly))
	}
}

// lastSeen returns the day of the last entry about a unit, its stems or its batch, or
// the day of grafting.
func (h History) lastSeen(unit codes.Code) time.Time {
	last := h.Batch.Date
	for _, entry := range h.valid {
		if h.touches(unit, entry.Unit) && entry.Day().After(last) {
			last = entry.Day()
		}
	}
	return last
}

// lastLook returns the last day, not before from, with an entry about a unit, or what it is
// part of, that answers the question of a task.
func (h History) lastLook(unit codes.Code, from time.Time, answers func(Entry) bool) (day time.Time, is bool) {
	for _, entry := range h.valid {
		if answers(entry) && h.holds(entry.Unit, unit) && !entry.Day().Before(from) {
			day, is = entry.Day(), true
		}
	}
	return day, is
}

// since returns the day of the entry from which on something that holds now has always
// held. Only entries that concern the unit count.
func (h History) since(unit codes.Code, so func(Tally) bool) (day time.Time) {
	known, was, anew := newReckoning(h.Batch), false, false
	for n, entry := range h.valid {
		known.take(entry)
		anew = anew || entry.Unused > 0 // it holds for the time before, too
		if !h.touches(unit, entry.Unit) {
			continue
		}
		if anew {
			known, anew = reckon(h.Batch, h.valid[:n+1]), false
		}
		is := so(known.tally(unit))
		if is && !was {
			day = entry.Day()
		}
		was = is
	}
	if !was { // another unit of the batch has made it so
		day = h.valid[len(h.valid)-1].Day()
	}
	return day
}
