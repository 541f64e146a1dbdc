package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

// trial is what came of designing the labels and cards of all rows.
type trial struct {
	faults       []error
	stems, cards []records.Batch // those for which the label stock is too small
}

// add takes the errors of one batch's designs; the beginning of a message names
// where the batch comes from.
func (t *trial) add(beginning string, batch records.Batch, stemErr, cardErr error) {
	seen := map[string]bool{} // a missing character is missing on both
	for _, each := range []struct {
		err   error
		tight *[]records.Batch
	}{{stemErr, &t.stems}, {cardErr, &t.cards}} {
		if each.err == nil {
			continue
		}
		small := false
		for _, err := range command.Flatten(each.err) {
			var fault *labels.Error
			small = small || !errors.As(err, &fault) || fault.Code != labels.NoCharacter
			if !seen[err.Error()] {
				seen[err.Error()] = true
				t.faults = append(t.faults, fmt.Errorf("%s %w", beginning, err))
			}
		}
		if small {
			*each.tight = append(*each.tight, batch)
		}
	}
}

// err joins all that is wrong, with what was wrong before, by row; nil when
// nothing is.
func (t *trial) err(before []error, p *press) error {
	faults := append(slices.Clone(before), t.faults...)
	if len(faults) == 0 {
		return nil
	}
	slices.SortStableFunc(faults, func(a, b error) int { return cmp.Compare(rowOf(a), rowOf(b)) })
	err := errors.Join(faults...)
	for _, advice := range append(t.advice(p), "correct these and print again; "+p.undone()) {
		err = command.Advise(err, advice)
	}
	return err
}

// advice names label stock on which what does not fit would fit. It tries the
// rows with the longest names, which are the hardest.
func (t *trial) advice(p *press) []string {
	var advice []string
	for _, kind := range []struct {
		tight   []records.Batch
		flag    string
		options labels.Options
		design  func(records.Batch, labels.Options) error
	}{
		{t.stems, "--stems", p.stemPile.options, func(b records.Batch, o labels.Options) error { _, err := labels.DesignStem(b, o); return err }},
		{t.cards, "--trays", p.trayPile.options, func(b records.Batch, o labels.Options) error { _, err := labels.DesignTray(b, o); return err }},
	} {
		if len(kind.tight) == 0 {
			continue
		}
		const hardest = 5
		length := func(b records.Batch) int { return len(b.Variety) + len(b.Stock) + len(b.Note) + int(b.Stem) }
		rows := slices.SortedStableFunc(slices.Values(kind.tight), func(a, b records.Batch) int { return cmp.Compare(length(b), length(a)) })
		rows = rows[:min(hardest, len(rows))]
		var would []layouts.Stock
		for _, stock := range layouts.Catalogue() {
			options := kind.options
			options.Stock = stock
			if !slices.ContainsFunc(rows, func(b records.Batch) bool { return kind.design(b, options) != nil }) {
				would = append(would, stock)
			}
		}
		listed := strings.Join(kind.options.Stock.Nearest(would), ", ")
		switch {
		case len(kind.tight) == 1 && t.advises(would, listed):
		case len(would) == 0 && len(kind.tight) == 1:
			advice = append(advice, fmt.Sprintf("no listed label stock fits %s for %s: try another --label-wrap or --symbol", rowName(kind.tight[0]), kind.flag))
		case len(would) == 0:
			advice = append(advice, fmt.Sprintf("no listed label stock fits all of these for %s: print them separately, or try another --label-wrap or --symbol", kind.flag))
		default:
			advice = append(advice, fmt.Sprintf("for %s, these fit: %s", kind.flag, listed))
		}
	}
	return advice
}

// advises reports whether the advice of a fault already lists this label stock, or that
// there is none.
func (t *trial) advises(would []layouts.Stock, listed string) bool {
	for _, err := range t.faults {
		for ; err != nil; err = errors.Unwrap(err) {
			hinter, is := err.(interface{ Hint() string })
			switch {
			case !is:
			case len(would) > 0 && strings.HasSuffix(hinter.Hint(), ": "+listed):
				return true
			case len(would) == 0 && strings.HasPrefix(hinter.Hint(), "no listed label stock"):
				return true
			}
		}
	}
	return false
}

// rowName names a batch by its row, or by its code where it comes from no manifest.
func rowName(batch records.Batch) string {
	if batch.Row == 0 {
		return batch.Code.BatchName()
	}
	return fmt.Sprintf("row %d", batch.Row)
}

func rowOf(err error) int {
	var cell *manifest.CellError
	var fault *labels.Error
	switch {
	case errors.As(err, &cell):
		return cell.Row
	case errors.As(err, &fault):
		return fault.Row
	}
	return 0
}
