package records

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"graftslip/codes"
)

// Observation is one entry about plants after grafting: what was counted, what
// was done, or both. Entries are never changed and never removed; an entry that
// was wrong is corrected by another.
//
// An entry is about a stem, a tray or the whole batch, and its counts are of all
// of that, as it stands after what was done.
type Observation struct {
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
	OutOfMist bool // taken from under the mist, to harden off
	Flushed   bool // the new top has flushed and flowered
	Unwrapped bool // the wrap was taken off: the plant is finished
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
func (o Observation) Counted() bool { return o.Counts != Counts{} }

// Empty reports whether an entry says nothing.
func (o Observation) Empty() bool { return !o.Counted() && o.Moves == Moves{} && o.Note == "" }

// Withdraws reports whether an entry withdraws another.
func (o Observation) Withdraws() bool { return o.Corrects != 0 && o.Empty() }

// Day is the calendar day on which it was seen, at midnight UTC.
func (o Observation) Day() time.Time { return Midnight(o.At) }

// Midnight returns the calendar day of a time in its own location, as midnight UTC.
func Midnight(t time.Time) time.Time {
	year, month, day := t.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

// Words say what an entry says, in one line: "34 alive, 12 growing, 2 dead; out
// of mist; 3 sold; note soft".
func (o Observation) Words() string {
	var counts, parts []string
	for _, count := range []struct {
		Count
		what string
	}{{o.Alive, "alive"}, {o.Growing, "growing"}, {o.Rooted, "rooted"}, {o.Dead, "dead"}} {
		if count.said {
			counts = append(counts, fmt.Sprintf("%d %s", count.n, count.what))
		}
	}
	if len(counts) > 0 {
		parts = append(parts, strings.Join(counts, ", "))
	}
	for _, move := range []struct {
		is   bool
		what string
	}{{o.OutOfMist, "out of mist"}, {o.Flushed, "flushed and flowered"}, {o.Unwrapped, "unwrapped"}} {
		if move.is {
			parts = append(parts, move.what)
		}
	}
	for _, left := range []struct {
		n    int
		what string
	}{{o.Sold, "sold"}, {o.Planted, "planted"}, {o.Culled, "culled"}, {o.Unused, "unused"}} {
		if left.n != 0 {
			parts = append(parts, fmt.Sprintf("%d %s", left.n, left.what))
		}
	}
	if o.Note != "" {
		parts = append(parts, beforeNote+o.Note)
	}
	switch {
	case o.Withdraws():
		return fmt.Sprintf("withdraws entry %d", o.Corrects)
	case o.Corrects != 0:
		parts = append(parts, fmt.Sprintf("in place of entry %d", o.Corrects))
	}
	return strings.Join(parts, "; ")
}
