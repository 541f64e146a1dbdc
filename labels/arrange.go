package labels

import (
	"cmp"

	"graftslip/codes/symbol"
	"graftslip/layouts"
)

const (
	gap      = 1.0  // mm between a symbol's quiet zone and text
	barRoom  = 7.0  // mm across a Code 128; it needs no longer bars
	goodSize = 14.0 // points; beyond it the symbol gains more than text

	// besideRight is how much an arrangement is worth whose symbol leaves its
	// place at the right of a card's names for one above them.
	besideRight = 0.7
)

// area is where a symbol and a block of text share the room.
type area struct {
	layouts.Size
	row      int    // of the manifest, for errors
	on       string // what it is a part of, for errors
	bend     layouts.Bend
	diameter float64 // of the bend, mm
	middle   bool    // a symbol above the text, and the text, stand in the middle
	right    bool    // a symbol beside the text stands at its right
	module   float64 // mm; beyond it text gains more than the symbol
	mostText float64 // points
}

// arrangement is a fitted block and symbol side by side or one above the
// other, in the directions of their area.
type arrangement struct {
	block            block
	text             layouts.Rect
	fitted           symbol.Fitted
	symbolX, symbolY float64
	score            float64
	beside, middle   bool
}

// arrange fits a symbol and text into an area. Of all ways it takes the one
// that balances the size of modules and letters, and one with small modules
// only where there is none with larger ones. For several candidate symbols
// see symbol.Best. The error is an *Error.
func arrange(paragraphs []paragraph, a area, candidates []symbol.Modules, dpi float64) (arrangement, error) {
	var found []arrangement
	var fits []symbol.Fitted
	var missed error
	symbolFits := false
	for _, modules := range candidates {
		best, ok, err := arrangeOne(paragraphs, a, modules, dpi)
		switch {
		case ok:
			found, fits = append(found, best), append(fits, best.fitted)
		case err == nil:
			symbolFits = true
		default:
			missed = err // the last: of Auto's kinds the one that needs least room
		}
	}
	switch {
	case len(found) > 0:
		return found[symbol.Best(fits)], nil
	case symbolFits:
		return arrangement{}, misfit(a.row, paragraphs, a.on, a.Size)
	}
	return arrangement{}, &Error{Where: Where{a.row, labelColumn}, Err: missed}
}

// arrangeOne is arrange for one symbol. It reports whether there is a way, and if
// there is none because the symbol does not fit, why.
func arrangeOne(paragraphs []paragraph, a area, modules symbol.Modules, dpi float64) (best arrangement, found bool, missed error) {
	symbolFits := false
	for _, beside := range []bool{true, false} {
		for most := 1.2 * a.module; most > 0; {
			fitted, err := modules.Fit(a.room(modules.Kind(), beside), dpi, most)
			if err != nil {
				missed = cmp.Or(missed, err)
				break
			}
			symbolFits = true
			most = fitted.Module - symbol.Dot(dpi)
			way := a.split(fitted, beside)
			// Modules only become smaller from here on.
			if way.score = a.most(fitted, beside); found && !way.better(best) {
				break
			}
			var ok bool
			if way.block, ok = fit(paragraphs, way.text.Size(), a.mostText); !ok {
				continue
			}
			way.score *= min(1, way.block.size/min(goodSize, a.mostText))
			if !found || way.better(best) {
				best, found = way, true
			}
		}
	}
	if symbolFits {
		return best, found, nil
	}
	// The whole area says more to a person than the strip for bars does.
	if _, err := modules.Fit(a.whole(), dpi, 0); err != nil {
		missed = err
	}
	return best, false, missed
}

// most is the score of an arrangement with text as large as it may be.
func (a area) most(fitted symbol.Fitted, beside bool) float64 {
	score := min(1, fitted.Module/a.module)
	if a.right && !beside {
		score *= besideRight
	}
	return score
}

// better reports whether w is to be preferred: larger modules where the other
// has small ones, else the higher score.
func (w arrangement) better(other arrangement) bool {
	if w.fitted.Small != other.fitted.Small {
		return other.fitted.Small
	}
	return w.score > other.score
}

// whole is the area as a room for a symbol alone.
func (a area) whole() symbol.Room {
	room := symbol.Room{Width: a.Width, Height: a.Height, Diameter: a.diameter}
	switch a.bend {
	case layouts.BendsAlongWidth:
		room.Around = symbol.AcrossWidth
	case layouts.BendsAlongHeight:
		room.Around = symbol.AcrossHeight
	}
	return room
}

// room is what a symbol may take of the area.
func (a area) room(kind symbol.Kind, beside bool) symbol.Room {
	room := a.whole()
	if kind == symbol.Code128 {
		if beside {
			room.Width = min(room.Width, barRoom)
		} else {
			room.Height = min(room.Height, barRoom)
		}
	}
	return room
}

// split places the symbol at a side or at the top and leaves the rest to
// the text.
func (a area) split(fitted symbol.Fitted, beside bool) arrangement {
	whole := a.Rect()
	way := arrangement{fitted: fitted, beside: beside, middle: a.middle}
	switch {
	case beside && a.right:
		way.text, _ = whole.CutLeft(a.Width-fitted.Width-gap, gap)
		way.symbolX = a.Width - fitted.Width
	case beside:
		_, way.text = whole.CutLeft(fitted.Width, gap)
		way.symbolY = (a.Height - fitted.Height) / 2
	default:
		_, way.text = whole.CutTop(fitted.Height, gap)
		if a.middle {
			way.symbolX = (a.Width - fitted.Width) / 2
		}
	}
	return way
}

// draw puts the arrangement on a canvas, with the symbol of a text unless that is
// empty.
func (w arrangement) draw(c canvas, paragraphs []paragraph, text string) error {
	if text != "" {
		modules, err := symbol.Encode(w.fitted.Kind(), text)
		if err != nil {
			return err
		}
		held := w.holding(modules)
		held.fitted.Modules = modules
		c.symbol(held.fitted, text, held.symbolX, held.symbolY)
	}
	place := w.text
	if w.middle && w.beside {
		place.Y += (place.Height - w.block.height) / 2
	}
	return w.block.draw(c, paragraphs, place, w.middle && !w.beside)
}

// holding is the arrangement with the symbol of one card in the middle of the
// place that was kept for the largest. Modules keep their size.
func (w arrangement) holding(modules symbol.Modules) arrangement {
	lessX := float64(w.fitted.Modules.Width()-modules.Width()) * w.fitted.Module
	lessY := float64(w.fitted.Modules.Height()-modules.Height()) * w.fitted.Module
	if w.fitted.Turned {
		lessX, lessY = lessY, lessX
	}
	w.fitted.Width, w.fitted.Height = w.fitted.Width-lessX, w.fitted.Height-lessY
	w.symbolX, w.symbolY = w.symbolX+lessX/2, w.symbolY+lessY/2
	return w
}
