package records

import (
	"cmp"
	"time"
)

// Days are the days after which something is due. Zero means the value of UsualDays.
type Days struct {
	Look     int // from grafting to the first check for new growth
	Again    int // from one check to the next
	Harden   int // of hardening off, from leaving the mist
	Flush    int // from grafting to the first check for a full flush of the new top
	Question int // without an entry, until a check whether it is still there
}

// UsualDays are three weeks under mist before the first check, then a check every week:
// common practice, no source. Two weeks of hardening off, twelve weeks to a full flush and
// sixty days without an entry are guesses.
func UsualDays() Days { return Days{Look: 21, Again: 7, Harden: 14, Flush: 84, Question: 60} }

// Or replaces zeros by the values of others.
func (d Days) Or(others Days) Days {
	return Days{
		Look: cmp.Or(d.Look, others.Look), Again: cmp.Or(d.Again, others.Again), Harden: cmp.Or(d.Harden, others.Harden),
		Flush: cmp.Or(d.Flush, others.Flush), Question: cmp.Or(d.Question, others.Question),
	}
}

// Calendar holds the days of a nursery. Those of a variety override those of a stock,
// and both override All.
type Calendar struct {
	All Days
	// Varieties and Stocks hold days by name, in any letter case.
	Varieties, Stocks map[string]Days
}

// For returns the days of a pair.
func (c Calendar) For(variety, stock string) Days {
	return named(c.Varieties, variety).Or(named(c.Stocks, stock)).Or(c.All).Or(UsualDays())
}

func named(days map[string]Days, name string) Days {
	for key, d := range days {
		if Key(key) == Key(name) {
			return d
		}
	}
	return Days{}
}

// LookFrom returns the day, at midnight UTC, of a batch's first check for new growth.
func (c Calendar) LookFrom(b Batch) time.Time {
	return b.Date.AddDate(0, 0, c.For(b.Variety, b.Stock).Look)
}

// LatestGraft returns the last day that a new batch may have, a year ahead: a later one is
// more likely mistyped.
func LatestGraft(today time.Time) time.Time { return today.AddDate(1, 0, 0) }

// DaysBetween returns the days from one day to another, negative if that is earlier.
// Both are at midnight UTC, where all days have 24 hours.
func DaysBetween(from, to time.Time) int { return int(to.Sub(from) / (24 * time.Hour)) }

// DaysWords says how far ahead a day is: "today", "in 1 day", "in 12 days". For a past
// day, over is the word at the end: "12 days late", "12 days ago".
func DaysWords(ahead int, over string) string {
	switch {
	case ahead == 0:
		return "today"
	case ahead > 0:
		return "in " + Counted(ahead, "day")
	default:
		return Counted(-ahead, "day") + " " + over
	}
}
