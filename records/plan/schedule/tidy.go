package schedule

// tidy makes what is still possible, puts pieces of an order together, and moves
// pieces to earlier days, until none of these can be done.
func (d *draft) tidy() {
	for changed := true; changed; {
		changed = false
		for _, order := range d.byValue() {
			before := d.short[order]
			d.insert(order, false)
			changed = changed || d.short[order] < before
			for choice, grafts := range d.pieces[order] {
				if grafts > 0 && (d.join(order, choice) || d.advance(order, choice)) {
					changed = true
				}
			}
		}
	}
}

// join puts a piece with another of the same order.
func (d *draft) join(order, choice int) bool {
	for other, has := range d.pieces[order] {
		if has > 0 && other != choice && d.move(order, choice, other) {
			return true
		}
	}
	return false
}

// advance moves a piece to the earliest day that takes all of it.
func (d *draft) advance(order, choice int) bool {
	for earlier := range choice {
		if d.move(order, choice, earlier) {
			return true
		}
	}
	return false
}

func (d *draft) move(order, from, to int) bool {
	grafts, short := d.pieces[order][from], d.short[order]
	d.add(order, from, -grafts)
	d.short[order] = grafts // of which all have to fit
	fits := d.fits(order, to) == grafts
	d.short[order] = short + grafts
	if fits {
		d.add(order, to, grafts)
	} else {
		d.add(order, from, grafts)
	}
	return fits
}
