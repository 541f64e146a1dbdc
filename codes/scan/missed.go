package scan

import (
	"fmt"
	"image"

	"graftslip/codes/scan/internal/search"
)

// Missed is something that looks like a symbol and could not be read.
type Missed struct {
	Symbol string // the kind that it looks like; "" when that cannot be told
	Sight
	Reason Reason
}

// Reason is why a symbol could not be read.
type Reason = search.Reason

const (
	Unclear  = search.Unclear  // none of the following: dirty, torn, under glare, bent, or no symbol at all
	TooSmall = search.TooSmall // too few pixels a module
	Blurred  = search.Blurred  // out of focus or shaken
	CutOff   = search.CutOff   // by the edge of the picture
)

// MissedError is the error for a symbol that was seen and could not be read.
type MissedError struct {
	Missed
	Within image.Rectangle // the whole picture
}

func (e *MissedError) Error() string {
	kind := map[string]string{"": "a code", QR: "a QR code", DataMatrix: "a Data Matrix", Code128: "a bar code"}[e.Symbol]
	switch e.Reason {
	case TooSmall:
		return fmt.Sprintf("%s %s is too small to read: %.1f pixels per module", kind, e.whereabouts(), e.Module)
	case Blurred:
		return fmt.Sprintf("%s %s is blurred", kind, e.whereabouts())
	case CutOff:
		return fmt.Sprintf("%s %s is cut off by the edge of the picture", kind, e.whereabouts())
	}
	return fmt.Sprintf("what looks like %s %s cannot be read", kind, e.whereabouts())
}

// Hint says what to do.
func (e *MissedError) Hint() string {
	switch e.Reason {
	case TooSmall:
		return "take the picture from closer up"
	case Blurred:
		return "hold still, add light, and let the camera focus on the code"
	case CutOff:
		return "get the whole code into the picture"
	}
	return "wipe it, take the picture straight on, out of glare and shadow, or type the code"
}

// whereabouts names the part of the picture that it is in.
func (e *MissedError) whereabouts() string {
	third := func(at, from, to int) int { return min(max(3*(at-from)/max(to-from, 1), 0), 2) }
	middle := e.Place.Min.Add(e.Place.Max).Div(2)
	return [3][3]string{
		{"at the upper left", "at the top", "at the upper right"},
		{"on the left", "in the middle", "on the right"},
		{"at the lower left", "at the bottom", "at the lower right"},
	}[third(middle.Y, e.Within.Min.Y, e.Within.Max.Y)][third(middle.X, e.Within.Min.X, e.Within.Max.X)]
}
