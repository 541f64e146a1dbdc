package main

import (
	"errors"
	"fmt"
	"math"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
)

// sighted is what an object of "slipread --json" says of a symbol on a picture,
// in pixels with one decimal.
type sighted struct {
	Symbol  string         `json:"symbol,omitempty"`
	Corners *[4][2]float64 `json:"corners,omitempty"`
	Module  float64        `json:"module,omitempty"` // left out when it is not known
}

func (p place) sighted() sighted {
	if p.seen == nil {
		return sighted{}
	}
	tenths := func(pixels float64) float64 { return math.Round(pixels*10)/10 + 0 } // + 0 turns -0 into 0
	s := sighted{Symbol: p.seen.symbol, Corners: new([4][2]float64), Module: tenths(p.seen.Module)}
	for i, corner := range p.seen.Corners {
		s.Corners[i] = [2]float64{tenths(corner.X), tenths(corner.Y)}
	}
	return s
}

// missed reports what was seen on a picture and could not be read; to a person
// all at once, so that advice that is the same for all comes once. It returns
// command.ErrReported.
func (p printer) missed(at place, view scan.View) error {
	var all []error
	for _, missed := range view.Missed {
		at.seen = &seen{missed.Symbol, missed.Sight}
		err := fmt.Errorf("%s: %w", at, &scan.MissedError{Missed: missed, Within: view.Picture.Bounds()})
		if !p.asJSON {
			all = append(all, err)
			continue
		}
		fault := newFault(at, "", notRead, err)
		fault.Reason = missed.Reason.String()
		if err := p.faultLine(fault); !errors.Is(err, command.ErrReported) {
			return err
		}
	}
	if !p.asJSON {
		command.Report(p.stderr, errors.Join(all...))
	}
	return command.ErrReported
}
