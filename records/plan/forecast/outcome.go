package forecast

import (
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// Outcome is what became of a batch.
type Outcome struct {
	Batch          codes.Code
	Variety, Stock string
	Grafter        string // empty where it was not said
	Wrap           layouts.Wrap
	Date           time.Time // of grafting, at midnight UTC
	// Grafts is how many were made: the stems without the unused labels, 1 or
	// more.
	Grafts int
	// Finished is how many became plants: those alive, sold and planted on the day on
	// which each unit was finished. What becomes of plants later is no matter of
	// grafting.
	Finished int
	// Days are those from grafting until the last unit that has finished plants
	// was unwrapped; 0 where that is not known.
	Days int
	// Uncounted is set where neither the living nor the dead of some unit with
	// living plants were ever counted, not even later. Finished is then the most that it can be,
	// and nothing is learned from it.
	Uncounted bool
	// Early is set where all was lost before such a batch could have been finished.
	// Those grafted with it that do well are not known yet: if it were learned from
	// at once, a nursery would look worse than it is through every spring.
	Early bool
}

// learnable reports whether something is learned from an outcome.
func (o Outcome) learnable() bool {
	return !o.Uncounted && !o.Early && o.Grafts > 0 && o.Finished >= 0 && o.Finished <= o.Grafts
}

// Outcomes returns what became of the batches of which it is known on a day: all
// their units are finished or lost. Batches of which no graft was made have no
// outcome. The order is that of the histories.
//
// While part of a pool that was grafted together is still open, takes lean upwards by
// what is lost of it and no more: lost batches wait (Early) until nine of ten are
// finished, finished ones do not. Where 1 of 10 batches is lost and the others take
// 0.7, it reads 0.70 until then and 0.63 from then on (TestTakesOfAPoolPartlyOpen). To
// count them at once leans further, downwards: before any is finished it reads 0.
// Whether those that finish first also take better is not known here.
func Outcomes(histories []records.History, calendar records.Calendar, today time.Time) []Outcome {
	var all []Outcome
	for _, c := range histories {
		if outcome, known := outcomeOf(c, calendar.For(c.Batch.Variety, c.Batch.Stock), today); known {
			all = append(all, outcome)
		}
	}
	open := OpenOf(histories, calendar, today)
	for i, o := range all {
		age := records.Record{Batch: records.Batch{Draft: records.Draft{Date: o.Date}}}.DaysSince(today)
		if o.Finished == 0 {
			wait := Days(all, open, o.Variety, o.Stock)
			all[i].Early = age < wait.High || wait.Least && age == wait.High
		}
	}
	return all
}

// settled reports whether all units of a batch are finished or lost.
func settled(c records.History, days records.Days, today time.Time) bool {
	for _, unit := range c.Units() {
		if stage := c.Stage(unit, days, today); stage != records.Finished && stage != records.Lost {
			return false
		}
	}
	return true
}

func outcomeOf(c records.History, days records.Days, today time.Time) (outcome Outcome, known bool) {
	if !settled(c, days, today) {
		return Outcome{}, false
	}
	then := c.Until(func(unit codes.Code) time.Time { return finishedOn(c, unit) })
	tally := then.Tally(c.Batch.Code)
	outcome = Outcome{
		Batch: c.Batch.Code, Variety: c.Batch.Variety, Stock: c.Batch.Stock, Grafter: c.Batch.Grafter, Wrap: c.Batch.Wrap, Date: c.Batch.Date,
		Grafts: tally.Stems - tally.Unused, Finished: tally.Alive + tally.Sold + tally.Planted,
	}
	for _, unit := range c.Units() {
		outcome.Uncounted = outcome.Uncounted || then.Tally(unit).Alive > 0 && !counted(then, unit)
	}
	outcome.Days = daysOf(then)
	return outcome, outcome.Grafts > 0
}

// finishedOn is the day on which a unit was unwrapped, else that on which nothing
// lived of it any more. Where it was not counted by then, it is the day of the first
// count later, or that on which all had left: who counts a day after unwrapping has
// counted.
func finishedOn(c records.History, unit codes.Code) time.Time {
	emptied, isEmpty := c.Emptied(unit)
	day, unwrapped := c.Unwrapped(unit)
	if !unwrapped {
		return emptied
	}
	seen := slices.DeleteFunc(c.Entries(unit), func(entry records.HistoryEntry) bool { return !counts(entry) })
	switch {
	case len(seen) > 0 && seen[0].Day().After(day) && !(isEmpty && emptied.Before(seen[0].Day())):
		return seen[0].Day()
	case isEmpty && (len(seen) == 0 || seen[0].Day().After(day)):
		return emptied
	}
	return day
}

// counted reports whether the living or the dead of a unit were counted.
func counted(c records.History, unit codes.Code) bool {
	return slices.ContainsFunc(c.Entries(unit), counts)
}

// counts reports whether an entry that stands counts the living or the dead of a
// tray or a batch. One stem that was looked at says nothing of the rest.
func counts(entry records.HistoryEntry) bool {
	_, alive := entry.Alive.Value()
	_, dead := entry.Dead.Value()
	return entry.CorrectedBy == 0 && entry.Unit.Kind() != codes.Stem && (alive || dead)
}

// daysOf are the days until the last of the units with finished plants was
// unwrapped, 0 where one of them was sold or planted in its wrap.
func daysOf(c records.History) int {
	last := 0
	for _, unit := range c.Units() {
		tally := c.Tally(unit)
		day, is := c.Unwrapped(unit)
		switch {
		case is:
			last = max(last, records.Record{Batch: c.Batch}.DaysSince(day))
		case tally.Alive+tally.Sold+tally.Planted > 0:
			return 0
		}
	}
	return last
}
