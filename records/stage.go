package records

import (
	"time"

	"graftslip/codes"
)

// Stage is how far plants have developed.
type Stage uint8

// The stages, in their order.
const (
	Ahead        Stage = iota // labelled, grafting still to come
	UnderMist                 // since grafting
	HardeningOff              // for some days after leaving the mist
	GrowingOn                 // out of the mist, still tied
	Finished                  // tie removed, or all survivors sold or planted
	Lost                      // none alive, none sold or planted
)

// String returns the stage in words.
func (s Stage) String() string {
	return [...]string{"to be grafted", "under mist", "hardening off", "growing on", "finished", "lost"}[s]
}

// Stage returns the stage of a unit on a day. A batch in several trays is at the
// earliest stage of its living trays.
func (h History) Stage(unit codes.Code, days Days, today time.Time) Stage {
	today = Midnight(today)
	if today.Before(h.Batch.Date) {
		return Ahead
	}
	if tally := h.Tally(unit); tally.Alive == 0 {
		if tally.Sold+tally.Planted > 0 || tally.Elsewhere > 0 && h.Stage(h.Batch.Code, days, today) == Finished {
			return Finished
		}
		return Lost
	}
	if unit.Kind() == codes.Batch && h.Batch.Trays() > 1 {
		stage := Finished
		for _, tray := range h.Units() {
			if h.Tally(tray).Alive > 0 {
				stage = min(stage, h.Stage(tray, days, today))
			}
		}
		return stage
	}
	out, isOut := h.OutOfMist(unit)
	_, untied := h.TieRemoved(unit)
	_, flushed := h.reached(unit, func(m Moves) bool { return m.Flushed })
	switch {
	case untied:
		return Finished
	case flushed, isOut && !today.Before(out.AddDate(0, 0, days.Harden)):
		return GrowingOn
	case isOut:
		return HardeningOff
	}
	return UnderMist
}

// OutOfMist returns the day, at midnight UTC, of the first entry that a unit is out of
// the mist: taken out, flushed or untied.
func (h History) OutOfMist(unit codes.Code) (day time.Time, is bool) {
	return h.reached(unit, func(m Moves) bool { return m.OutOfMist || m.Flushed || m.TieRemoved })
}

// takenOut returns the day of the entry that a unit was taken out of the mist, if that
// was before it flushed or the tie was removed.
func (h History) takenOut(unit codes.Code) (day time.Time, is bool) {
	out, is := h.reached(unit, func(m Moves) bool { return m.OutOfMist })
	later, grown := h.reached(unit, func(m Moves) bool { return m.Flushed || m.TieRemoved })
	return out, is && (!grown || out.Before(later))
}

// TieRemoved returns the day, at midnight UTC, on which the tie was removed.
func (h History) TieRemoved(unit codes.Code) (day time.Time, is bool) {
	return h.reached(unit, func(m Moves) bool { return m.TieRemoved })
}

// reached returns the first day with an entry of a move for a unit or what it is part
// of. A batch has made a move when all its living trays have.
func (h History) reached(unit codes.Code, what func(Moves) bool) (day time.Time, is bool) {
	for _, entry := range h.valid {
		if what(entry.Moves) && h.holds(entry.Unit, unit) {
			return entry.Day(), true
		}
	}
	if unit.Kind() != codes.Batch || h.Batch.Trays() == 1 {
		return time.Time{}, false
	}
	for _, tray := range h.Units() {
		if h.Tally(tray).Alive == 0 {
			continue
		}
		first, has := h.reached(tray, what)
		if !has {
			return time.Time{}, false
		}
		if first.After(day) {
			day = first
		}
		is = true
	}
	return day, is
}
