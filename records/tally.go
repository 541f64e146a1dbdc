package records

import (
	"fmt"
	"strings"

	"graftslip/codes"
)

// Tally says where the stems of a unit are, as far as it was told. Stems is the
// sum of all that follow it but Growing and Rooted, which are among the living.
//
// The same plant is never counted twice: of what was told of a tray and what was
// told of its stems, the larger number of dead holds, and what grows counts from
// the last count of the tray on. What left adds up over all entries.
type Tally struct {
	Stems   int
	Alive   int // the most that can be living
	Growing int
	Rooted  int
	Dead    int
	Sold    int
	Planted int
	Culled  int
	Unused  int
	// Elsewhere are stems of a tray that no longer live in it, where it was
	// told of the whole batch only whether such have died or left.
	Elsewhere int
}

// Words say it in one line: "28 alive (12 growing, 5 rooted), 2 dead, 6 sold".
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

// mostGrow reports whether more than half of the living grow.
func (t Tally) mostGrow() bool { return 2*t.Growing > t.Alive }

// Tally returns where the stems of a unit of the batch are.
func (h History) Tally(unit codes.Code) Tally { return h.sums.tally(h.plain(unit)) }
