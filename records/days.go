package records

import (
	"cmp"
	"time"
)

// Days says after how many days something is due. A zero value takes that of
// UsualDays.
type Days struct {
	Look     int // from grafting to the first look for new growth
	Again    int // from one look to the next
	Harden   int // for hardening off, from the day it was taken out of the mist
	Flush    int // from grafting to the first look whether the new top has flushed and flowered
	Question int // after which a unit of which nothing was seen is a question
}

// UsualDays are three weeks under mist before a look, and a look every week:
// common practice, no source. Two weeks of hardening off, twelve weeks to a flush
// and sixty days to a question are guesses.
func UsualDays() Days { return Days{Look: 21, Again: 7, Harden: 14, Flush: 84, Question: 60} }

// Or takes what is zero from others.
func (d Days) Or(others Days) Days {
	return Days{
		Look: cmp.Or(d.Look, others.Look), Again: cmp.Or(d.Again, others.Again), Harden: cmp.Or(d.Harden, others.Harden),
		Flush: cmp.Or(d.Flush, others.Flush), Question: cmp.Or(d.Question, others.Question),
	}
}

// Calendar holds the days of a nursery. Those of a variety come before those of
// a stock, and both before those of all.
type Calendar struct {
	All Days
	// Varieties and Stocks have days of their own by name. Letter case does not
	// matter.
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

// LookFrom returns the day, at midnight UTC, from which to look for new growth
// on a batch.
func (c Calendar) LookFrom(b Batch) time.Time {
	return b.Date.AddDate(0, 0, c.For(b.Variety, b.Stock).Look)
}

// DaysBetween returns how many days a day is after another, both at midnight UTC,
// where all days have 24 hours; negative when it is before.
func DaysBetween(from, to time.Time) int { return int(to.Sub(from) / (24 * time.Hour)) }

// DaysWords say how far a day is ahead: "today", "in 1 day", "in 12 days". Of one
// that is over they end in a word: "12 days late", "12 days ago".
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
