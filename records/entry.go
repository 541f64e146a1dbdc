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
	// Number counts the entries of all batches from 1; 0 before the ledger sets it.
	Number int
	// Key is chosen by the sender. An entry sent twice has one key, two entries have two.
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
	// none. A correction without content undoes that entry.
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

// Moves are what was done with a unit, and the states it reached.
type Moves struct {
	OutOfMist  bool // taken from under the mist, to harden off
	Flushed    bool // the new top has made a full flush
	TieRemoved bool // the tie was removed: the plant is finished
	// How many stems left: living ones sold, planted, or thrown away (culled),
	// and labels never used (unused).
	Sold, Planted, Culled, Unused int
}

// Left returns how many stems left with an entry.
func (m Moves) Left() int { return m.Sold + m.Planted + m.Culled + m.Unused }

// living is the largest count of living stems, if there is one.
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

// Empty reports whether an entry has no content.
func (e Entry) Empty() bool { return !e.Counted() && e.Moves == Moves{} && e.Note == "" }

// Undoes reports whether an entry only undoes another.
func (e Entry) Undoes() bool { return e.Corrects != 0 && e.Empty() }

// Day is the calendar day on which it was seen, at midnight UTC.
func (e Entry) Day() time.Time { return Midnight(e.At) }

// Midnight returns the calendar day of a time in its own location, as midnight UTC.
func Midnight(t time.Time) time.Time {
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// Field is a field of an entry other than its note.
type Field uint8

// The fields, in the order of an entry's words.
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

// IsCount reports whether a field is a count.
func (f Field) IsCount() bool { return f <= Dead }

// IsState reports whether a field is a state, without a number. A field that is neither a
// count nor a state is how many left.
func (f Field) IsState() bool { return OutOfMist <= f && f <= TieRemoved }

// at is where an entry holds a field: a *Count, a *bool for a state, or an *int.
func (e *Entry) at(f Field) any {
	return [...]any{
		&e.Alive, &e.Growing, &e.Rooted, &e.Dead, &e.OutOfMist, &e.Flushed, &e.TieRemoved, &e.Sold, &e.Planted, &e.Culled, &e.Unused,
	}[f]
}

// Value returns the number of a field, 1 for a state, and whether the entry has the field.
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

// Say sets the number of a field. Any number but 0 sets a state.
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

// Words returns the content of an entry in one line: "34 alive, 12 growing, 2 dead; out
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
