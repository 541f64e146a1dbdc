package layouts

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// The margins are what the labels leave, halved; computed.
func TestGridsAsWritten(t *testing.T) {
	for _, test := range []struct {
		reason, written, name string
		medium                Medium
		last                  Rect // where the last label lies
	}{
		{"labels that touch, in the middle", "a4-4x12:48.5x21.2mm", "a4-4x12:48.5x21.2mm", Sheet, Rect{153.5, 254.5, 48.5, 21.2}},
		{"a decimal comma, capitals and the sign for times", " A4-4×12:48,50×21.2MM", "a4-4x12:48.5x21.2mm", Sheet, Rect{153.5, 254.5, 48.5, 21.2}},
		{"inches, with a pitch", "letter-3x10:2.625x1@2.75x1in", "letter-3x10:2.625x1@2.75x1in", Sheet, Rect{144.4625, 241.3, 66.675, 25.4}},
		{"a margin, more at the right than at the left", "a4-2x2:90x100@95x110+4x8mm", "a4-2x2:90x100@95x110+4x8mm", Sheet, Rect{99, 118, 90, 100}},
		{"cards on paper of its own", "card-200x300-2x4:90x60mm", "card-200x300-2x4:90x60mm", Card, Rect{100, 210, 90, 60}},
		{"a roll of two labels side by side", "roll-60x12-2x1:25x10@30x10mm", "roll-60x12-2x1:25x10@30x10mm", Roll, Rect{32.5, 1, 25, 10}},
		{"a name of its own", "Pots_2=a4-4x12:48.5x21.2mm", "pots_2", Sheet, Rect{153.5, 254.5, 48.5, 21.2}},
	} {
		t.Run(test.reason, func(t *testing.T) {
			s, err := Lookup(test.written)
			require.NoError(t, err)
			require.Equal(t, test.name, s.Name)
			require.Equal(t, test.medium, s.Medium)
			last := s.Position(s.Count() - 1)
			require.InDeltaSlice(t, []float64{test.last.X, test.last.Y, test.last.Width, test.last.Height}, []float64{last.X, last.Y, last.Width, last.Height}, 1e-9)
		})
	}
	uneven := lookup(t, "a4-2x2:90x100@106x140+10x50mm") // 4 mm at the right, 7 mm below
	require.InDelta(t, 2, uneven.Safe().X, 1e-9, "the printer leaves 6 mm at the right edge, of which the margin takes 4")
	require.InDelta(t, Edge, uneven.Safe().Y, 1e-9)
}

func TestGridsRefused(t *testing.T) {
	for _, test := range []struct{ reason, written, says, advises string }{
		{"too wide", "a4-4x12:60x21.2mm", "4 columns of labels 60 mm wide take 240 mm, 30 mm more than the paper is wide", "3 columns fit, or labels up to 52.5 mm wide"},
		{"too high", "letter-3x12:2.625x1in", "12 rows of labels 25.4 mm high take 304.8 mm, 25.4 mm more than the paper is high", "11 rows fit, or labels up to 23.2 mm high"},
		{"no unit", "a4-4x12:48.5x21.2", `"a4-4x12:48.5x21.2" is not label stock`, "a4-4x12:48.5x21.2mm or letter-3x10:2.625x1in"},
		{"another paper", "b5-4x12:48.5x21.2mm", "is not label stock", "write paper"},
		{"a listed name", "a4-3x7=a4-4x12:48.5x21.2mm", "a4-3x7 is already the name of listed label stock", "choose another name"},
		{"a name that is a size", "strip-25x180=a4-4x12:48.5x21.2mm", "strip-25x180 is already the name of listed label stock", "choose another name"},
		{"a name with a blank", "my pots=a4-4x12:48.5x21.2mm", `"my pots" cannot name label stock`, "letters a-z"},
		{"a name for a name", "mine=a4-3x7", "is not label stock", "write paper"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := Lookup(test.written)
			var fault *Error
			require.ErrorAs(t, err, &fault)
			require.Contains(t, fault.Error(), test.says)
			require.Contains(t, fault.Hint(), test.advises)
		})
	}
}
