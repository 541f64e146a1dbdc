package records

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/codes"
)

// Entry is one entry about plants after grafting: what was counted, what
// was done, or both. Entries are never changed and never removed; an entry that
// was wrong is corrected by another.
//
// An entry is about a stem, a tray or the whole batch, and its counts are of all
// of that, as it stands after what was done.
type Entry struct {
	// Number is how people call an entry, from 1 over all batches; 0 before the
	// ledger has given it.
	Number int
	// Key is chosen by whoever enters it, and tells an entry that is sent twice
	// from two entries.
	Key string
	// At is when it was seen, in the zone where it was seen.
	At time.Time
	// By names who saw it; it may be empty.
	By string
	// Unit is the code of the stem, tray or batch.
	Unit codes.Code
	// Of is how many stems the unit had when the entry was made.
	Of int
	Counts
	Moves
	// Note is free text; it may be empty.
	Note string
	// Corrects is the number of the entry whose place this one takes, 0 for
	// none. A correction that says nothing withdraws that entry.
	Corrects int
}

// Counts are how many stems of a unit were seen in which state.
type Counts struct {
	Alive Count
	// Growing have new growth, Rooted have roots; both are among the living.
	Growing, Rooted Count
	// Dead are all that have died since sticking, also those thrown away.
	Dead Count
}

// Moves are what was done with a unit, or reached by it.
type Moves struct {
	OutOfMist  bool // taken from under the mist, to harden off
	Flushed    bool // the new top has made a full flush
	TieRemoved bool // the wrap was taken off: the plant is finished
	// How many stems left: living ones sold, planted, or thrown away (culled),
	// and labels of which no graft was made (unused).
	Sold, Planted, Culled, Unused int
}

// Left returns how many stems left with an entry.
func (m Moves) Left() int { return m.Sold + m.Planted + m.Culled + m.Unused }

// living is the most that the counts say of living stems, said where they say any.
func (c Counts) living() Count {
	most := c.Alive
	for _, count := range []Count{c.Growing, c.Rooted} {
		if n, said := count.Value(); said && (n > most.n || !most.said) {
			most = count
		}
	}
	return most
}

// NewKey draws a key for an entry: 32 hexadecimal digits, which nobody draws again.
func NewKey() string {
	var key [16]byte
	_, _ = rand.Read(key[:]) // it ends the program rather than fail
	return hex.EncodeToString(key[:])
}

// Counted reports whether an entry has any count.
func (e Entry) Counted() bool { return e.Counts != Counts{} }

// Empty reports whether an entry says nothing.
func (e Entry) Empty() bool { return !e.Counted() && e.Moves == Moves{} && e.Note == "" }

// Undoes reports whether an entry withdraws another.
func (e Entry) Undoes() bool { return e.Corrects != 0 && e.Empty() }

// Day is the calendar day on which it was seen, at midnight UTC.
func (e Entry) Day() time.Time { return Midnight(e.At) }

// Midnight returns the calendar day of a time in its own location, as midnight UTC.
func Midnight(t time.Time) time.Time {
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// Field is something that an entry may say of plants, beside its note.
type Field uint8

// The fields, in the order in which the words of an entry have them.
const (
	Alive Field = iota
	Growing
	Rooted
	Dead
	OutOfMist
	Flushed
	TieRemoved
	Sold
	Planted
	Culled
	Unused
	NumFields // how many there are
)

// String returns the word by which a field is entered: "alive", "out-of-mist".
func (f Field) String() string {
	return [...]string{"alive", "growing", "rooted", "dead", "out-of-mist", "flushed", "tie-removed", "sold", "planted", "culled", "unused"}[f]
}

// IsCount reports whether a field is how many were seen so.
func (f Field) IsCount() bool { return f <= Dead }

// IsState reports whether a field is what a unit has reached, without a number. What is
// neither a count nor a state is how many left.
func (f Field) IsState() bool { return OutOfMist <= f && f <= TieRemoved }

// at is where an entry holds a field: a *Count, a *bool for a state, or an *int.
func (e *Entry) at(f Field) any {
	return [...]any{
		&e.Alive, &e.Growing, &e.Rooted, &e.Dead, &e.OutOfMist, &e.Flushed, &e.TieRemoved, &e.Sold, &e.Planted, &e.Culled, &e.Unused,
	}[f]
}

// Value returns the number of a field, 1 for what was reached, and whether the
// entry says anything of it.
func (e *Entry) Value(f Field) (n int, said bool) {
	switch at := e.at(f).(type) {
	case *Count:
		return at.Value()
	case *int:
		return *at, *at != 0
	case *bool:
		if *at {
			return 1, true
		}
	}
	return 0, false
}

// Say sets the number of a field. What was reached is, with any number but 0.
func (e *Entry) Say(f Field, n int) {
	switch at := e.at(f).(type) {
	case *Count:
		*at = Said(n)
	case *int:
		*at = n
	case *bool:
		*at = n != 0
	}
}

// Words say what an entry says, in one line: "34 alive, 12 growing, 2 dead; out
// of mist; 3 sold; note soft".
func (e Entry) Words() string {
	if e.Undoes() {
		return fmt.Sprintf("undoes entry %d", e.Corrects)
	}
	var counts, others []string
	for field := range NumFields {
		n, said := e.Value(field)
		switch {
		case !said:
		case field.IsCount():
			counts = append(counts, fmt.Sprintf("%d %v", n, field))
		case field == Flushed:
			others = append(others, "made a full flush")
		case field.IsState():
			others = append(others, strings.ReplaceAll(field.String(), "-", " "))
		default:
			others = append(others, fmt.Sprintf("%d %v", n, field))
		}
	}
	if e.Note != "" {
		others = append(others, beforeNote+e.Note)
	}
	if e.Corrects != 0 {
		others = append(others, fmt.Sprintf("in place of entry %d", e.Corrects))
	}
	if len(counts) > 0 {
		others = slices.Insert(others, 0, strings.Join(counts, ", "))
	}
	return strings.Join(others, "; ")
}
