// Package restore brings back the codewords of a symbol that is damaged: torn,
// dirty, under glare. It knows of each module not only whether it is dark but
// how sure that is, and takes the least sure codewords as unknown: Reed-Solomon
// codes restore twice as many of these as of wrong ones.
package restore

// Module is what was seen of a module.
type Module struct {
	Dark bool
	Sure float64 // 0 for a guess; any scale
}

// leastSure is how sure a codeword is: as its least sure module.
func leastSure(modules []Module, places []int) float64 {
	least := modules[places[0]].Sure
	for _, place := range places[1:] {
		least = min(least, modules[place].Sure)
	}
	return least
}
