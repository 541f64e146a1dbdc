package command

import "graftslip/layouts"

// Shift is a flag's value: how far print is moved on the paper to make up for
// the printer, in mm to the right and down.
type Shift struct{ X, Y float64 }

// Set reads two lengths, each of which may be negative.
func (s *Shift) Set(text string) error {
	x, y, err := layouts.ParseShift(text)
	*s = Shift{x, y}
	return err
}

func (s *Shift) String() string { return layouts.Correction{ShiftX: s.X, ShiftY: s.Y}.FormatShift() }

// Type names the value in the help.
func (s *Shift) Type() string { return "RIGHT,DOWN" }

// Scale is a flag's value: the factors across and down by which distances are
// printed to make up for the printer. The zero Scale is 1 both ways.
type Scale struct{ X, Y float64 }

// Set reads one factor for both ways, or two.
func (s *Scale) Set(text string) error {
	x, y, err := layouts.ParseScale(text)
	*s = Scale{x, y}
	return err
}

func (s *Scale) String() string { return layouts.Correction{ScaleX: s.X, ScaleY: s.Y}.FormatScale() }

// Type names the value in the help.
func (s *Scale) Type() string { return "N|ACROSS,DOWN" }

// Correction is what a shift and a scale are together.
func Correction(shift Shift, scale Scale) layouts.Correction {
	return layouts.Correction{ShiftX: shift.X, ShiftY: shift.Y, ScaleX: scale.X, ScaleY: scale.Y}
}
