package records

import (
	"time"

	"graftslip/codes"
)

// Stage is how far plants have come.
type Stage uint8

// The stages, in their order.
const (
	Ahead        Stage = iota // labelled, and to be grafted on a day to come
	UnderMist                 // from grafting on
	HardeningOff              // for some days after it was taken out of the mist
	GrowingOn                 // out of the mist, still wrapped
	Finished                  // unwrapped, or all that lived have been sold or planted
	Lost                      // none lives and none was sold or planted
)

// String returns the stage in words.
func (s Stage) String() string {
	return [...]string{"to be grafted", "under mist", "hardening off", "wrapped, growing on", "finished", "lost"}[s]
}

// Stage returns how far a unit has come on a day. A batch in several trays has
// come as far as all its living trays have.
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
	_, unwrapped := h.Unwrapped(unit)
	_, flushed := h.reached(unit, func(m Moves) bool { return m.Flushed })
	switch {
	case unwrapped:
		return Finished
	case flushed, isOut && !today.Before(out.AddDate(0, 0, days.Harden)):
		return GrowingOn
	case isOut:
		return HardeningOff
	}
	return UnderMist
}

// OutOfMist returns the day, at midnight UTC, on which a unit left the mist: it
// was taken out, or else was seen in a state that it has only outside.
func (h History) OutOfMist(unit codes.Code) (day time.Time, is bool) {
	return h.reached(unit, func(m Moves) bool { return m.OutOfMist || m.Flushed || m.Unwrapped })
}

// takenOut returns the day on which it was entered that a unit was taken out of the
// mist, if that was before it flushed or was unwrapped.
func (h History) takenOut(unit codes.Code) (day time.Time, is bool) {
	out, is := h.reached(unit, func(m Moves) bool { return m.OutOfMist })
	later, grown := h.reached(unit, func(m Moves) bool { return m.Flushed || m.Unwrapped })
	return out, is && (!grown || out.Before(later))
}

// Unwrapped returns the day, at midnight UTC, on which the wrap of a unit was
// taken off.
func (h History) Unwrapped(unit codes.Code) (day time.Time, is bool) {
	return h.reached(unit, func(m Moves) bool { return m.Unwrapped })
}

// reached returns the first day on which a unit had reached something, by itself
// or with what it is part of. A batch has when all its living trays have.
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
