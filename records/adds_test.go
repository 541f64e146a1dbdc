package records_test

import (
	"fmt"
	"strings"

	"graftslip/records"
)

// adds holds the numbers of a tally against each other.
func adds(t records.Tally) error {
	sum := t.Alive + t.Dead + t.Sold + t.Planted + t.Culled + t.Unused + t.Elsewhere
	if sum != t.Stems {
		return fmt.Errorf("%+v add up to %d", t, sum)
	}
	if min(t.Alive, t.Growing, t.Rooted, t.Dead, t.Sold, t.Planted, t.Culled, t.Unused, t.Elsewhere) < 0 {
		return fmt.Errorf("%+v: a number is negative", t)
	}
	if t.Growing > t.Alive || t.Rooted > t.Alive {
		return fmt.Errorf("%+v: more grow or have roots than live", t)
	}
	return nil
}

// told lists entries for a message.
func told(b records.Batch, entries []records.Entry) string {
	var text strings.Builder
	fmt.Fprintf(&text, "%d stems in trays of %d\n", b.Grafts, b.TraySize)
	for _, o := range entries {
		fmt.Fprintf(&text, "%d: %s %v of %d: %s\n", o.Number, o.At.Format("01-02 15:04"), o.Unit, o.Of, o.Words())
	}
	return text.String()
}
