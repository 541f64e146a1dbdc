package symbol

import (
	"fmt"
	"math"
)

// Axis says along which side of a room the room is bent.
type Axis uint8

// The ways a room may be bent.
const (
	None         Axis = iota // not at all: the room is flat
	AcrossWidth              // the stem's curve runs along the width, the stem along the height
	AcrossHeight             // the stem's curve runs along the height, the stem along the width
)

// Room is where a symbol may go, in millimetres, quiet zone included.
type Room struct {
	Width, Height float64
	Around        Axis    // how the room is bent
	Diameter      float64 // of the curve, in millimetres; not looked at if the room is flat
}

// spanOfDiameter is what the dark modules may take up across a curve, in
// diameters of the curve, under the 30° rule.
//
// The rule: the tangent at the middle of a symbol and the one at its outermost
// bar must meet at less than 30°, else the bars have to run round the curve
// ("ladder"). Hence 60° in all, an arc of π/6 diameters. Source: GS1 General
// Specifications, orientation of symbols on curved surfaces (secondary); the
// arc is computed from it. That the rule holds for QR and Data Matrix too, in
// the direction across the curve, is an inference: the specification speaks of
// bars.
const spanOfDiameter = math.Pi / 6

// check refuses a room whose figures are none. A room with no space in it is
// one in which nothing fits.
func (r Room) check() error {
	type side struct {
		name   string
		length float64
		least  float64
	}
	sides := []side{{"width", r.Width, -longest}, {"height", r.Height, -longest}}
	switch r.Around {
	case None:
	case AcrossWidth, AcrossHeight:
		sides = append(sides, side{"diameter", r.Diameter, tolerance})
	default:
		return &advised{"a symbol's room is bent in no known way", "bend it across its width, across its height, or not at all"}
	}
	for _, s := range sides {
		if !(s.length >= s.least && s.length <= longest) {
			return &advised{
				text: fmt.Sprintf("a symbol's room cannot have a %s of %s mm", s.name, millimetres(s.length)),
				hint: "give it a length above 0",
			}
		}
	}
	return nil
}
