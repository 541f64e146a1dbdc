package records

import (
	"fmt"
	"strings"

	"graftslip/codes"
)

// Tally counts the stems of a unit, as far as entries say. Stems is the sum of the
// fields after it, except Growing and Rooted, which are part of Alive.
//
// No plant is counted twice. Of the dead of a tray and the dead among its stems the
// larger number counts; growing stems count from the last count of their tray on.
// Plants that left add up over all entries.
type Tally struct {
	Stems   int
	Alive   int // the most that can be alive
	Growing int
	Rooted  int
	Dead    int
	Sold    int
	Planted int
	Culled  int
	Unused  int
	// Elsewhere counts stems no longer alive in their tray, where only entries about
	// the whole batch say whether they died or left.
	Elsewhere int
}

// Words returns the tally in one line: "28 alive (12 growing, 5 rooted), 2 dead, 6 sold".
func (t Tally) Words() string {
	living := fmt.Sprintf("%d alive", t.Alive)
	var among []string
	for _, of := range []struct {
		n    int
		what string
	}{{t.Growing, "growing"}, {t.Rooted, "rooted"}} {
		if of.n > 0 {
			among = append(among, fmt.Sprintf("%d %s", of.n, of.what))
		}
	}
	if len(among) > 0 {
		living += " (" + strings.Join(among, ", ") + ")"
	}
	parts := []string{living}
	for _, other := range []struct {
		n    int
		what string
	}{{t.Dead, "dead"}, {t.Sold, "sold"}, {t.Planted, "planted"}, {t.Culled, "culled"}, {t.Unused, "unused"}, {t.Elsewhere, "dead or gone"}} {
		if other.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", other.n, other.what))
		}
	}
	return strings.Join(parts, ", ")
}

// mostGrow reports whether more than half of the living stems are growing.
func (t Tally) mostGrow() bool { return 2*t.Growing > t.Alive }

// Tally counts the stems of a unit of the batch.
func (h History) Tally(unit codes.Code) Tally { return h.sums.tally(h.plain(unit)) }
