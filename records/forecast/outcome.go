package forecast

import (
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
	// Finished is how many became plants: those alive, sold and planted.
	Finished int
	// Days are those from grafting until the last unit that has finished plants
	// was unwrapped; 0 where that is not known.
	Days int
	// Uncounted is set where neither the living nor the dead of some unit with
	// living plants were ever counted. Finished is then the most that it can be,
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
// outcome. The order is that of the courses.
func Outcomes(courses []records.Course, calendar records.Calendar, today time.Time) []Outcome {
	var all []Outcome
	for _, c := range courses {
		if outcome, known := outcomeOf(c, calendar.For(c.Batch.Variety, c.Batch.Stock), today); known {
			all = append(all, outcome)
		}
	}
	for i, o := range all {
		age := records.Record{Batch: records.Batch{Draft: records.Draft{Date: o.Date}}}.DaysSince(today)
		all[i].Early = o.Finished == 0 && age < Days(all, o.Variety, o.Stock).High
	}
	return all
}

func outcomeOf(c records.Course, days records.Days, today time.Time) (outcome Outcome, known bool) {
	units := c.Units()
	for _, unit := range units {
		if stage := c.Stage(unit, days, today); stage != records.Finished && stage != records.Lost {
			return Outcome{}, false
		}
	}
	tally := c.Tally(c.Batch.Code)
	outcome = Outcome{
		Batch: c.Batch.Code, Variety: c.Batch.Variety, Stock: c.Batch.Stock, Grafter: c.Batch.Grafter, Wrap: c.Batch.Wrap, Date: c.Batch.Date,
		Grafts: tally.Stems - tally.Unused, Finished: tally.Alive + tally.Sold + tally.Planted,
	}
	for _, unit := range units {
		outcome.Uncounted = outcome.Uncounted || c.Tally(unit).Alive > 0 && !counted(c, unit)
	}
	outcome.Days = daysOf(c, units)
	return outcome, outcome.Grafts > 0
}

// counted reports whether the living or the dead of a unit were counted, by
// itself or with the batch. One stem that was looked at says nothing of the rest.
func counted(c records.Course, unit codes.Code) bool {
	for _, entry := range c.Entries(unit) {
		_, alive := entry.Alive.Value()
		_, dead := entry.Dead.Value()
		if entry.CorrectedBy == 0 && entry.Unit.Kind() != codes.Stem && (alive || dead) {
			return true
		}
	}
	return false
}

// daysOf are the days until the last of the units with finished plants was
// unwrapped, 0 where one of them was sold or planted in its wrap.
func daysOf(c records.Course, units []codes.Code) int {
	last := 0
	for _, unit := range units {
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
