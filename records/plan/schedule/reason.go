package schedule

import (
	"fmt"
	"slices"
	"time"

	"graftslip/records"
)

// reason gives in words why grafts of an order do not fit beside what is planned.
func (d *solution) reason(order int, o Order, limits Limits) string {
	j := d.jobs[order]
	latest := dayNumber(o.Latest) - d.first
	if latest < 0 {
		return fmt.Sprintf("its last day for grafting, %s, is before the first, %s", d.written(latest), d.written(0))
	}
	if j.slots == 0 {
		return fmt.Sprintf("nobody grafts from %s to %s", d.written(0), d.written(latest))
	}
	full, busy, labelled, spoken := 0, 0, 0, 0
	for slot := range j.slots {
		switch hands := d.problem.hands[slot]; {
		case d.places(order, slot) == 0:
			full++
			continue
		case hands == 0:
			spoken++
		case hands < limits.GraftsADay:
			labelled++
		}
		busy++
	}
	all, last, are := records.Counted(limits.GraftsADay, "graft"), d.written(latest), "are"
	if limits.GraftsADay == 1 {
		are = "is"
	}
	switch {
	case busy == 0:
		return d.bedReason(j, latest, limits)
	case full > 0:
		return fmt.Sprintf("until %s the bed is full on %s, and on %s %s %s too few", last, records.Counted(full, "day"), records.Counted(busy, "day"), all, are)
	case spoken == busy:
		return fmt.Sprintf("trays already labelled take all of %s a day until %s", all, last)
	case spoken+labelled > 0:
		return fmt.Sprintf("%s a day, less those of trays already labelled, %s too few until %s", all, are, last)
	}
	return fmt.Sprintf("%s a day %s too few until %s", all, are, last)
}

// bedReason gives until when no tray of an order has a bed space, and why.
func (d *solution) bedReason(j job, latest int, limits Limits) string {
	before, full := true, true
	for slot := range j.slots {
		from, until := d.span(j, slot)
		before = before && slices.Min(d.problem.room[from:until]) == 0
		full = full && d.room[d.days[slot]] == 0
	}
	cause := ""
	if before {
		cause = " with trays that stand there or are already labelled"
	}
	what := fmt.Sprintf("the bed has no space free for %s", records.Counted(j.stay, "day"))
	if full {
		what = "the bed is full"
	}
	return fmt.Sprintf("%s until %s%s; its last day for grafting is %s", what, d.written(d.firstPlace(j.stay, latest+1, limits)), cause, d.written(latest))
}

// firstPlace is the first day, from one on, from which a tray has a place for the
// whole of its stay.
func (d *solution) firstPlace(stay, from int, limits Limits) int {
	gone := from // the day on which all that is known has left
	for _, s := range limits.Standing {
		gone = max(gone, dayNumber(s.Until)-d.first)
	}
	for _, a := range limits.Arriving {
		gone = max(gone, dayNumber(a.Day)-d.first+a.Stay)
	}
	for _, j := range d.jobs {
		if j.slots > 0 {
			gone = max(gone, d.days[j.slots-1]+j.stay)
		}
	}
	room := roomOf(limits, d.first, gone)
	for order, j := range d.jobs {
		for slot, grafts := range d.lots[order] {
			start := d.days[slot]
			for day := start; grafts > 0 && day < start+j.stay; day++ {
				room[day] -= j.trays(grafts)
			}
		}
	}
	place := gone
	for day, free := gone, 0; day >= from; day-- {
		if free++; room[day] <= 0 {
			free = 0
		}
		if free >= stay || day+free > gone && free > 0 {
			place = day
		}
	}
	return place
}

func (d *solution) written(day int) string { return written(dayOf(d.first + day)) }

func written(day time.Time) string { return day.Format(time.DateOnly) }
