package schedule

// prices are what a place and a graft cost on each day, by the linear programme: what
// others lose if an order takes them. They lead the search to days that are cheap.
type prices struct {
	tray  [][]float64 // of a tray's whole stay, by order and choice
	graft []float64   // by choice
}

func (r *relaxed) prices() *prices {
	rows := r.multipliers(false)
	times(rows, -1/r.scale)
	p := &prices{graft: make([]float64, len(r.days))}
	for choice, row := range r.handsRow {
		if row >= 0 {
			p.graft[choice] = max(0, rows[row])
		}
	}
	for order, j := range r.jobs {
		p.tray = append(p.tray, make([]float64, j.choices))
		for choice := range j.choices {
			var place column
			r.stand(&place, order, choice)
			p.tray[order][choice] = max(0, place.dot(rows))
		}
	}
	return p
}

// insertPriced makes what is short of an order on the days on which it gains the most
// over what others lose, as long as it gains.
func (d *draft) insertPriced(order int, p *prices) {
	j := d.jobs[order]
	for d.short[order] > 0 {
		best, most, gain := -1, 0, 1e-9
		for choice := range j.choices {
			fits := d.fits(order, choice)
			if fits == 0 {
				continue
			}
			has := d.pieces[order][choice]
			// All that fits, or what fills trays.
			for _, grafts := range [2]int{fits, (has+fits)/j.tray*j.tray - has} {
				if grafts <= 0 {
					continue
				}
				trays := float64(j.trays(has+grafts) - j.trays(has))
				if g := float64(grafts)*(j.value-p.graft[choice]) - trays*p.tray[order][choice]; g > gain*(1+1e-9) {
					best, most, gain = choice, grafts, g
				}
			}
		}
		if best < 0 {
			return
		}
		d.add(order, best, most)
	}
}
