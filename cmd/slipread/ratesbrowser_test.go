package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// ratedHouse is a house whose batches have grown up: two of one pair, one with names
// as long as they may be, one lost, and one that nobody counted.
func ratedHouse(t *testing.T) *house {
	t.Helper()
	h := houseOf(t,
		records.Draft{Date: seasonDay(), Variety: "Lantern Heron", Stock: "Quay Briar", Grafts: 40, Grafter: "OR"},
		records.Draft{Date: seasonDay(), Variety: "Lantern Heron", Stock: "Quay Briar", Grafts: 36},
		records.Draft{Date: seasonDay(), Variety: longName("Overlong"), Stock: longName("Wide"), Grafts: 30, Grafter: longName("Ivo")},
		records.Draft{Date: seasonDay(), Variety: "Slate Minuet", Stock: "Quay Briar", Grafts: 20},
		records.Draft{Date: seasonDay(), Variety: "Slate Minuet", Stock: "Quay Briar", Grafts: 12},
	)
	h.clock.set(seasonDay().AddDate(0, 0, 180))
	for i, alive := range []int{36, 30, 17, 0, -1} {
		batch := h.batches[i]
		o := records.Entry{Key: fmt.Sprintf("%032x", i+1), At: h.clock.now(), Unit: batch.Code, Moves: records.Moves{TieRemoved: alive != 0}}
		if alive >= 0 {
			o.Counts = records.Counts{Alive: records.Said(alive), Dead: records.Said(batch.Grafts - alive)}
		}
		h.log(o)
	}
	require.Len(t, h.batches, 5)
	return h
}
