package records

import (
	"sort"
	"time"

	"graftslip/codes"
)

// Until returns the history as far as it was seen until a day, which is given for
// each of its Units: with what was entered of it on that day and before. What was
// entered of the whole batch counts until the last of these days. Labels never used
// count as unused from the beginning, whenever that was entered.
func (h History) Until(day func(unit codes.Code) time.Time) History {
	days := map[codes.Code]time.Time{}
	var last time.Time
	for _, unit := range h.Units() {
		days[unit] = Midnight(day(unit))
		if days[unit].After(last) {
			last = days[unit]
		}
	}
	var kept []Entry
	for _, entry := range h.valid {
		until, is := days[h.unitOf(entry.Unit)]
		if !is {
			until = last
		}
		if entry.Day().After(until) {
			entry.Counts, entry.Moves, entry.Note = Counts{}, Moves{Unused: entry.Unused}, ""
		}
		if !entry.Empty() {
			kept = append(kept, entry)
		}
	}
	return NewHistory(h.Batch, kept)
}

// unitOf is the one of Units that something is or is part of, else the batch.
func (h History) unitOf(code codes.Code) codes.Code {
	code = h.plain(code)
	if code.Kind() == codes.Stem && h.Batch.Trays() > 1 {
		if tray, err := h.Batch.Code.Tray(h.Batch.TrayOf(code.Number())); err == nil { // each stem stands in a tray
			return tray
		}
	}
	if code.Kind() == codes.Stem {
		return h.Batch.Code
	}
	return code
}

// Emptied returns the day, at midnight UTC, from which on nothing lived any more of
// a unit: all had died or left.
func (h History) Emptied(unit codes.Code) (day time.Time, is bool) {
	if len(h.valid) == 0 || h.Tally(unit).Alive > 0 {
		return time.Time{}, false
	}
	// An entry more never makes more of the living, so that halving finds it.
	first := sort.Search(len(h.valid)-1, func(n int) bool {
		return h.Until(func(codes.Code) time.Time { return h.valid[n].Day() }).Tally(unit).Alive == 0
	})
	return h.valid[first].Day(), true
}
