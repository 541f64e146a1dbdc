package schedule

import (
	"fmt"
	"math"
	"time"
)

// longest is how many days ahead something may be, and stand: three years.
const longest = 1096

// most is how many grafts, trays or days any number may say. It keeps sums exact.
const most = 1_000_000

// mostChoices is how many days all orders together may choose from.
const mostChoices = 100_000

// InputError is an order or a limit that makes no sense.
type InputError struct {
	Where  string // "order 3", "limits", "standing trays 1": counted from 1
	Reason string
}

func (e *InputError) Error() string { return e.Where + ": " + e.Reason }

// checker keeps the first fault.
type checker struct{ fault *InputError }

func (c *checker) refuse(where, reason string, parts ...any) {
	if c.fault == nil {
		c.fault = &InputError{Where: where, Reason: fmt.Sprintf(reason, parts...)}
	}
}

func (c *checker) number(where, what string, n int) {
	if n < 0 || n > most {
		c.refuse(where, "%d %s, want 0 to %d", n, what, most)
	}
}

func (c *checker) stay(where string, days int) {
	if days < 0 || days > longest {
		c.refuse(where, "%d days under mist, want 0 to %d", days, longest)
	}
}

func (c *checker) day(where, what string, day, first time.Time) {
	if day.IsZero() {
		c.refuse(where, "no %s", what)
	} else if n := dayNumber(day) - dayNumber(first); n > longest {
		c.refuse(where, "%s %s is more than three years after the first day", what, written(day))
	}
}

func check(orders []Order, limits Limits) error {
	var c checker
	if limits.First.IsZero() {
		c.refuse("limits", "no first day")
	}
	c.number("limits", "places", limits.Places)
	c.number("limits", "grafts a day", limits.GraftsADay)
	for i, s := range limits.Standing {
		where := fmt.Sprintf("standing trays %d", i+1)
		c.number(where, "trays", s.Trays)
		c.day(where, "day on which they leave", s.Until, limits.First)
	}
	for i, a := range limits.Arriving {
		where := fmt.Sprintf("arriving trays %d", i+1)
		c.number(where, "trays", a.Trays)
		c.number(where, "grafts", a.Grafts)
		c.stay(where, a.Stay)
		c.day(where, "day", a.Day, limits.First)
	}
	days := 0
	for i, o := range orders {
		where := fmt.Sprintf("order %d", i+1)
		c.number(where, "grafts", o.Grafts)
		c.number(where, "grafts a tray", o.TraySize)
		c.stay(where, o.Stay)
		c.day(where, "last day", o.Latest, limits.First)
		if !(o.Value >= 0 && o.Value <= most) || o.Value > 0 && o.Value < 1/float64(most) {
			c.refuse(where, "a value of %v plants for each graft, want 0 or %v to %d", o.Value, 1/float64(most), most)
		}
		if days += max(0, dayNumber(o.Latest)-dayNumber(limits.First)+1); days > mostChoices {
			c.refuse(where, "with those before it there are more than %d days to choose from; plan a shorter time, or fewer orders at once", mostChoices)
		}
	}
	if c.fault != nil {
		return c.fault
	}
	return nil
}

// dayNumber counts days from 1970-01-01.
func dayNumber(t time.Time) int {
	return int(math.Floor(float64(time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC).Unix()) / 86400))
}

// dayOf returns midnight UTC.
func dayOf(number int) time.Time {
	return time.Date(1970, 1, 1+number, 0, 0, 0, 0, time.UTC)
}
