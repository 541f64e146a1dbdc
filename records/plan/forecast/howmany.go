package forecast

import "fmt"

// MostGrafts is the largest number of grafts that HowMany looks at.
const MostGrafts = 100_000

// HowMany returns the least number of grafts, made as one batch, that give so many
// finished plants or more with a chance of at least sure. More grafts never give
// a smaller chance, so that the number is found by doubling and halving. want is 1
// or more, and sure lies between 0 and 1. The error is a *NoNumberError where
// MostGrafts are not enough.
func (t Take) HowMany(want int, sure float64) (grafts int, err error) {
	switch {
	case want < 1:
		return 0, fmt.Errorf("%d plants wanted: it must be 1 or more", want)
	case !(sure > 0 && sure < 1):
		return 0, fmt.Errorf("a chance of %v: it lies between 0 and 1, such as 0.9", sure)
	}
	if chance := t.Chance(MostGrafts, want); chance < sure {
		return 0, &NoNumberError{want, sure, chance}
	}
	tooFew, most := want-1, want
	for t.Chance(most, want) < sure {
		tooFew, most = most, min(2*most, MostGrafts)
	}
	for most-tooFew > 1 {
		if middle := (tooFew + most) / 2; t.Chance(middle, want) < sure {
			tooFew = middle
		} else {
			most = middle
		}
	}
	return most, nil
}

// NoNumberError says that no number of grafts is enough.
type NoNumberError struct {
	Want   int
	Sure   float64 // the chance asked for
	Chance float64 // of MostGrafts
}

func (e *NoNumberError) Error() string {
	return fmt.Sprintf("no number of grafts gives %d plants with a chance of %.4g %%: even %d do so with one of %.2g %% only",
		e.Want, 100*e.Sure, MostGrafts, 100*e.Chance)
}

// Hint says what to do, in one line.
func (e *NoNumberError) Hint() string {
	return "ask for fewer plants or a smaller chance, or see why so few grafts of this pair became plants"
}
