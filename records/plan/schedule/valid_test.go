package schedule

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// valid checks a plan against orders and limits as they were given.
func valid(t testing.TB, orders []Order, limits Limits, plan Schedule) {
	t.Helper()
	require.Len(t, plan.Short, len(orders))
	require.Len(t, plan.Reasons, len(orders))
	made := make([]int, len(orders))
	hands := map[time.Time]int{}
	bed, before := map[time.Time]int{}, map[time.Time]int{}
	stand := func(bed map[time.Time]int, from, until time.Time, trays int) {
		for day := from; day.Before(until); day = day.AddDate(0, 0, 1) {
			bed[day] += trays
		}
	}
	for _, s := range limits.Standing {
		stand(before, limits.First, s.Until, s.Trays)
	}
	for _, a := range limits.Arriving {
		stand(before, a.Day, a.Day.AddDate(0, 0, a.Stay), a.Trays)
		hands[a.Day] += a.Grafts
	}
	last := Lot{Order: -1}
	for _, p := range plan.Lots {
		o := orders[p.Order]
		require.Positive(t, p.Grafts)
		require.False(t, p.Day.Before(limits.First), "before the first day")
		require.False(t, p.Day.After(o.Latest), "after the last day")
		require.False(t, limits.Off != nil && limits.Off(p.Day), "on a day off")
		require.True(t, last.Day.Before(p.Day) || last.Day.Equal(p.Day) && last.Order < p.Order, "in order, each once")
		trays := 1
		if o.TraySize > 0 {
			trays = (p.Grafts-1)/o.TraySize + 1
		}
		require.Equal(t, trays, p.Trays)
		stand(bed, p.Day, p.Day.AddDate(0, 0, o.Stay), trays)
		made[p.Order] += p.Grafts
		hands[p.Day] += p.Grafts
		if limits.GraftsADay > 0 {
			require.LessOrEqual(t, hands[p.Day], limits.GraftsADay, "too much work on %v", p.Day)
		}
		last = p
	}
	left := 0.0
	for i, o := range orders {
		require.Equal(t, o.Grafts, made[i]+plan.Short[i])
		require.Equal(t, plan.Short[i] > 0, plan.Reasons[i] != "")
		value := o.Value
		if value == 0 {
			value = 1
		}
		left += value * float64(plan.Short[i])
	}
	require.InDelta(t, left, plan.Left, 1e-6)
	for day, trays := range bed {
		if limits.BedSpaces > 0 && trays > 0 {
			require.LessOrEqual(t, trays+before[day], limits.BedSpaces, "the bed overflows on %v", day)
		}
	}
	room := func(o Order, from time.Time, trays int, without Lot) bool {
		for day := from; limits.BedSpaces > 0 && day.Before(from.AddDate(0, 0, o.Stay)); day = day.AddDate(0, 0, 1) {
			stands := bed[day] + before[day] + trays
			if !day.Before(without.Day) && day.Before(without.Day.AddDate(0, 0, o.Stay)) {
				stands -= without.Trays
			}
			if stands > limits.BedSpaces {
				return false
			}
		}
		return true
	}
	// No lot could move by itself to an earlier day, or to another of its order.
	has := map[Lot]int{}
	for _, p := range plan.Lots {
		has[Lot{Order: p.Order, Day: p.Day}] = p.Grafts
	}
	for _, p := range plan.Lots {
		o := orders[p.Order]
		for day := limits.First; !day.After(o.Latest); day = day.AddDate(0, 0, 1) {
			there := has[Lot{Order: p.Order, Day: day}]
			if day.Equal(p.Day) || day.After(p.Day) && there == 0 || limits.Off != nil && limits.Off(day) ||
				limits.GraftsADay > 0 && hands[day]+p.Grafts > limits.GraftsADay {
				continue
			}
			trays := 1
			if o.TraySize > 0 {
				trays = (there+p.Grafts-1)/o.TraySize + 1
				if there > 0 {
					trays -= (there-1)/o.TraySize + 1
				}
			} else if there > 0 {
				trays = 0
			}
			require.False(t, room(o, day, trays, p), "%+v could move to %v", p, day)
		}
	}
	// What is short has no place beside the plan, not even a single graft.
	for i, o := range orders {
		if plan.Short[i] == 0 {
			continue
		}
		for day := limits.First; !day.After(o.Latest); day = day.AddDate(0, 0, 1) {
			if limits.Off != nil && limits.Off(day) || limits.GraftsADay > 0 && hands[day] >= limits.GraftsADay {
				continue
			}
			open := false
			for _, p := range plan.Lots {
				open = open || p.Order == i && p.Day.Equal(day) && (o.TraySize == 0 || p.Grafts%o.TraySize > 0)
			}
			require.False(t, open || room(o, day, 1, Lot{}), "order %d could have a graft more on %v", i, day)
		}
	}
}
