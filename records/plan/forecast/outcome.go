package forecast

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// Outcome is what became of a batch, or how long it is open.
type Outcome struct {
	Batch          codes.Code
	Variety, Stock string
	Grafter        string // empty where it is not known
	Wrap           layouts.Wrap
	Date           time.Time // of grafting, at midnight UTC
	// Grafts is how many were made: the stems without the unused labels, 1 or
	// more.
	Grafts int
	// Finished is how many became plants: those alive, sold and planted on the day on
	// which each unit was finished. What becomes of plants later is no matter of
	// grafting.
	Finished int
	// Days are those from grafting until the tie of the last unit that has finished
	// plants was removed; 0 where that is not known. Of an open batch they are those for
	// which it is known that it was not finished.
	Days int
	// Open is set where something lives in its tie. Finished is 0.
	Open bool
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
	return !o.Open && !o.Uncounted && !o.Early && o.Grafts > 0 && o.Finished >= 0 && o.Finished <= o.Grafts
}

// Outcomes returns what became of batches, as it is known on a day. Batches of which
// no graft was made are left out. The order is that of the histories.
//
// While part of a pool that was grafted together is still open, takes lean upwards by
// what is lost of it and no more: lost batches wait (Early) until nine of ten are
// finished, finished ones do not. Where 1 of 10 batches is lost and the others take
// 0.7, it reads 0.70 until then and 0.63 from then on (TestTakesOfAPoolPartlyOpen). To
// count them at once leans further, downwards: before any is finished it reads 0.
// Whether those that finish first also take better is not known here.
func Outcomes(histories []records.History, calendar records.Calendar, today time.Time) []Outcome {
	var all []Outcome
	for _, h := range histories {
		if o := outcomeOf(h, calendar.For(h.Batch.Variety, h.Batch.Stock), today); o.Grafts > 0 {
			all = append(all, o)
		}
	}
	for i, o := range all {
		if !o.Open && o.Finished == 0 {
			age := records.DaysBetween(o.Date, records.Midnight(today))
			wait := Days(all, o.Variety, o.Stock)
			all[i].Early = age < wait.High || wait.Least && age == wait.High
		}
	}
	return all
}

// settled reports whether all units of a batch are finished or lost.
func settled(h records.History, days records.Days, today time.Time) bool {
	for _, unit := range h.Units() {
		if stage := h.Stage(unit, days, today); stage != records.Finished && stage != records.Lost {
			return false
		}
	}
	return true
}

func outcomeOf(h records.History, days records.Days, today time.Time) Outcome {
	b := h.Batch
	o := Outcome{Batch: b.Code, Variety: b.Variety, Stock: b.Stock, Grafter: b.Grafter, Wrap: b.Wrap, Date: b.Date, Open: !settled(h, days, today)}
	if o.Open {
		tally := h.Tally(b.Code)
		o.Grafts, o.Days = tally.Stems-tally.Unused, daysOpen(h, days, today)
		return o
	}
	then := h.Until(func(unit codes.Code) time.Time { return finishedOn(h, unit) })
	tally := then.Tally(b.Code)
	o.Grafts, o.Finished = tally.Stems-tally.Unused, tally.Alive+tally.Sold+tally.Planted
	for _, unit := range h.Units() {
		o.Uncounted = o.Uncounted || then.Tally(unit).Alive > 0 && !slices.ContainsFunc(then.Entries(unit), counts)
	}
	o.Days = daysOf(then)
	return o
}

// daysOpen are those for which it is known that a batch was not finished: until
// today, but of a batch of which nothing was entered for long only until it became a
// question (records.Days). It may have been finished since, and nobody entered it.
func daysOpen(h records.History, days records.Days, today time.Time) int {
	last := 0
	for _, entry := range h.Entries(h.Batch.Code) {
		last = max(last, h.Batch.DaysSince(entry.Day()))
	}
	return max(0, min(h.Batch.DaysSince(today), last+days.Question))
}

// finishedOn is the day on which the tie of a unit was removed, else that on which
// nothing lived of it any more. Where it was not counted by then, it is the day of
// the first count later, or that on which all had left: who counts a day after
// removing the tie has counted.
func finishedOn(h records.History, unit codes.Code) time.Time {
	emptied, isEmpty := h.Emptied(unit)
	day, unwrapped := h.TieRemoved(unit)
	if !unwrapped {
		return emptied
	}
	seen := slices.DeleteFunc(h.Entries(unit), func(entry records.HistoryEntry) bool { return !counts(entry) })
	switch {
	case len(seen) > 0 && seen[0].Day().After(day) && !(isEmpty && emptied.Before(seen[0].Day())):
		return seen[0].Day()
	case isEmpty && (len(seen) == 0 || seen[0].Day().After(day)):
		return emptied
	}
	return day
}

// counts reports whether an entry that stands counts the living or the dead of a
// tray or a batch. One stem that was looked at says nothing of the rest.
func counts(entry records.HistoryEntry) bool {
	_, alive := entry.Alive.Value()
	_, dead := entry.Dead.Value()
	return entry.CorrectedBy == 0 && entry.Unit.Kind() != codes.Stem && (alive || dead)
}

// daysOf are the days until the tie of the last unit with finished plants was
// removed, 0 where one of them was sold or planted in its tie.
func daysOf(h records.History) int {
	last := 0
	for _, unit := range h.Units() {
		tally := h.Tally(unit)
		day, is := h.TieRemoved(unit)
		switch {
		case is:
			last = max(last, h.Batch.DaysSince(day))
		case tally.Alive+tally.Sold+tally.Planted > 0:
			return 0
		}
	}
	return last
}

// Wait is how long a pair takes from grafting to finished plants, in days.
type Wait struct {
	High int // nine of ten batches take so many or fewer
	// Least is set where that is not known yet, since too many are not finished: High
	// is then as long as the longest has stood.
	Least bool
	Basis string
}

// Days returns how long a pair takes: as the batches of the pair did where there
// are three or more with known days, else those of its stock, of its variety, or
// all. With fewer in all it is a guess: the days to the first flush of
// records.UsualDays.
//
// Batches that are not finished yet count with their age: from the finished ones of a
// spring alone only the fast would be learned. The share finished by a day is that of
// Kaplan & Meier 1958, Journal of the American Statistical Association 53:457 (from
// memory). Where it does not reach nine of ten, the days are as many as the longest has
// taken until now, finished or not.
func Days(outcomes []Outcome, variety, stock string) Wait {
	keys := map[string]string{} // of names, which repeat
	key := func(name string) string {
		if _, known := keys[name]; !known {
			keys[name] = records.Key(name)
		}
		return keys[name]
	}
	same := func(a, b string) bool { return key(a) == key(b) }
	for _, of := range []struct {
		is   func(v, s string) bool
		what string
	}{
		{func(v, s string) bool { return same(v, variety) && same(s, stock) }, "of this pair"},
		{func(_, s string) bool { return same(s, stock) }, "of this stock"},
		{func(v, _ string) bool { return same(v, variety) }, "of this variety"},
		{func(string, string) bool { return true }, "of all"},
	} {
		var all []stood
		for _, o := range outcomes {
			if o.Days > 0 && !o.Open && of.is(o.Variety, o.Stock) {
				all = append(all, stood{o.Days, true})
			}
		}
		if finished := len(all); finished >= records.Enough {
			for _, o := range outcomes {
				if o.Days > 0 && o.Open && of.is(o.Variety, o.Stock) {
					all = append(all, stood{o.Days, false})
				}
			}
			basis := fmt.Sprintf("%s %s", records.Counted(len(all), "batch"), of.what)
			if rest := len(all) - finished; rest > 0 {
				basis += fmt.Sprintf(", %d not finished yet", rest)
			}
			high, known := within(all, 0.9)
			return Wait{high, !known, basis}
		}
	}
	return Wait{records.UsualDays().Flush, false, fmt.Sprintf("a guess: fewer than %d batches with known days", records.Enough)}
}

// stood is how many days a batch took, or has stood until now.
type stood struct {
	days     int
	finished bool
}

// within returns the first day by which a share of the batches was finished; if there
// is none, the last that is known of.
func within(all []stood, share float64) (day int, known bool) {
	const rounding = 1e-9
	slices.SortFunc(all, func(a, b stood) int {
		if a.days == b.days && a.finished != b.finished { // who has not finished on a day may do so later
			if a.finished {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.days, b.days)
	})
	left := 1.0
	for i, one := range all {
		if one.finished {
			left *= 1 - 1/float64(len(all)-i)
		}
		if one.finished && 1-left >= share-rounding {
			return one.days, true
		}
	}
	return all[len(all)-1].days, false
}
