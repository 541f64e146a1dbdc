// Package restore brings back the codewords of a symbol that is damaged: torn,
// dirty, under glare. It knows of each module not only whether it is dark but
// how sure that is, and takes the least sure codewords as unknown: Reed-Solomon
// codes restore twice as many of these as of wrong ones.
package restore

import (
	"cmp"
	"slices"
)

// Module is what was seen of a module.
type Module struct {
	Dark bool
	Sure float64 // 0 for a guess; any scale
}

// spareChecks is how many codewords for error correction must be left over
// when a block is restored, as a proof that it is right: chance leaves them
// fitting once in 256 times each.
const spareChecks = 2

// erasureStep is by how many codewords more are taken as unknown from one try
// to the next.
const erasureStep = 2

// block restores one block: first with all codewords as they are, then with
// more and more of the least sure as unknown (generalized minimum distance
// decoding: G. D. Forney, IEEE Transactions on Information Theory 12, 125-131,
// 1966; memory). It yields each different result.
func (c blockCode) block(codewords []byte, sure []float64, yield func([]byte) bool) {
	places := make([]int, len(codewords))
	for i := range places {
		places[i] = i
	}
	slices.SortStableFunc(places, func(a, b int) int { return cmp.Compare(sure[a], sure[b]) })
	var before [][]byte
	for unknown := 0; unknown <= c.checks-spareChecks; unknown += erasureStep {
		try := slices.Clone(codewords)
		errors, ok := c.correct(try, places[:unknown])
		if !ok || 2*errors+unknown > c.checks-spareChecks || slices.ContainsFunc(before, func(b []byte) bool { return slices.Equal(b, try) }) {
			continue
		}
		before = append(before, try)
		if !yield(try) {
			return
		}
	}
}

// leastSure is how sure a codeword is: as its least sure module.
func leastSure(modules []Module, places []int) float64 {
	least := modules[places[0]].Sure
	for _, place := range places[1:] {
		least = min(least, modules[place].Sure)
	}
	return least
}
