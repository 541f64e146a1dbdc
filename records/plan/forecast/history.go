package forecast

import "graftslip/records"

// history is what was seen, by pair.
type history struct {
	varieties, stocks map[string]int // index by folded name
	pairs             []pair
	index             map[[2]int]int // of pairs, by variety and stock
	all               int            // batches
}

// count is what is learned from of an outcome.
type count struct{ finished, grafts int }

// pair is a variety on a stock with its batches.
type pair struct {
	variety, stock int
	counts         []count
}

func historyOf(outcomes []Outcome) *history {
	h := &history{varieties: map[string]int{}, stocks: map[string]int{}, index: map[[2]int]int{}}
	for _, o := range outcomes {
		if !o.learnable() {
			continue
		}
		at := [2]int{number(h.varieties, o.Variety), number(h.stocks, o.Stock)}
		n, known := h.index[at]
		if !known {
			n = len(h.pairs)
			h.index[at] = n
			h.pairs = append(h.pairs, pair{variety: at[0], stock: at[1]})
		}
		h.pairs[n].counts = append(h.pairs[n].counts, count{o.Finished, o.Grafts})
		h.all++
	}
	return h
}

// parts divides a vector of all effects into those of the base and the stocks, the
// varieties and the pairs.
func (h *history) parts(all []float64) (shared, varieties, pairs []float64) {
	shared, all = all[:1+len(h.stocks)], all[1+len(h.stocks):]
	return shared, all[:len(h.varieties)], all[len(h.varieties):]
}

// number gives a name the next number, or the one it has.
func number(names map[string]int, name string) int {
	n, known := names[records.Key(name)]
	if !known {
		n = len(names)
		names[records.Key(name)] = n
	}
	return n
}

// none stands for a variety, stock or pair without history.
const none = -1

// find returns what is known of a pair of names.
func (h *history) find(variety, stock string) (v, s, p int) {
	v, s, p = none, none, none
	if n, known := h.varieties[records.Key(variety)]; known {
		v = n
	}
	if n, known := h.stocks[records.Key(stock)]; known {
		s = n
	}
	if n, known := h.index[[2]int{v, s}]; known {
		p = n
	}
	return v, s, p
}

// basis counts the batches of a pair, and of its parts.
func (h *history) basis(variety, stock string) Basis {
	v, s, _ := h.find(variety, stock)
	basis := Basis{All: h.all}
	for _, p := range h.pairs {
		if p.variety == v {
			basis.Variety += len(p.counts)
		}
		if p.stock == s {
			basis.Stock += len(p.counts)
		}
		if p.variety == v && p.stock == s {
			basis.Pair += len(p.counts)
		}
	}
	return basis
}
