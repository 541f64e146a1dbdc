package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/records"
	"graftslip/records/manifest"
)

// trial is what came of designing the labels and cards of all rows.
type trial struct {
	faults       []error
	inRows       map[string]*rowsFault // the row faults among them, by what is wrong
	stems, cards []records.Batch       // too large for the label stock
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
				t.note(beginning, err)
			}
		}
		if small {
			*each.tight = append(*each.tight, batch)
		}
	}
}

// note adds one fault, or its row to an equal fault of other rows.
func (t *trial) note(beginning string, err error) {
	var fault *labels.Error
	if !errors.As(err, &fault) || fault.Row == 0 {
		t.faults = append(t.faults, fmt.Errorf("%s %w", beginning, err))
		return
	}
	where := fmt.Sprintf(", %s: %v", fault.Column, fault.Err)
	if same := t.inRows[where]; same != nil {
		same.rows = append(same.rows, fault.Row)
		return
	}
	if t.inRows == nil {
		t.inRows = map[string]*rowsFault{}
	}
	t.inRows[where] = &rowsFault{beginning, where, records.Numbers{fault.Row}, fault}
	t.faults = append(t.faults, t.inRows[where])
}

// rowsFault is a fault that several rows share.
type rowsFault struct {
	file, where string
	rows        records.Numbers
	first       *labels.Error
}

func (f *rowsFault) Error() string { return f.file + " " + f.rows.Rows() + f.where }

// Unwrap returns the fault of the first row, with its advice.
func (f *rowsFault) Unwrap() error { return f.first }

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

// advice names larger label stock that fits.
func (t *trial) advice(p *press) []string {
	const most = 4 // names
	var advice []string
	for _, kind := range []struct {
		tight   []records.Batch
		flag    string
		other   string // than another label stock
		options labels.Options
		design  func(records.Batch, labels.Options) error
	}{
		{t.stems, "--stems", "another --label-wrap, another --symbol or less --clearance", p.stemPile.options, func(b records.Batch, o labels.Options) error { _, err := labels.DesignStem(b, o); return err }},
		{t.cards, "--trays", "--card-symbol code, or shorter texts", p.trayPile.options, func(b records.Batch, o labels.Options) error { _, err := labels.DesignTray(b, o); return err }},
	} {
		if len(kind.tight) == 0 {
			continue
		}
		rows := hardest(kind.tight)
		var would []string
		for _, stock := range kind.options.Stock.Nearest(command.AllStock(), p.Paper()) {
			options := kind.options
			options.Stock = stock
			if len(would) < most && !slices.ContainsFunc(rows, func(b records.Batch) bool { return kind.design(b, options) != nil }) {
				would = append(would, stock.Name)
			}
		}
		switch {
		case len(would) == 0 && len(kind.tight) == 1:
			advice = append(advice, fmt.Sprintf("no listed label stock fits %s for %s: try %s", rowName(kind.tight[0]), kind.flag, kind.other))
		case len(would) == 0:
			advice = append(advice, fmt.Sprintf("no listed label stock fits all of these for %s: print them separately, or try %s", kind.flag, kind.other))
		default:
			advice = append(advice, fmt.Sprintf("for %s, these fit: %s", kind.flag, strings.Join(would, ", ")))
		}
	}
	return advice
}

// hardest returns one batch of each kind of names, stem and label wrap, those likely to
// need the largest label first.
func hardest(batches []records.Batch) []records.Batch {
	const most = 200 // a second's work
	length := func(b records.Batch) int { return len(b.Variety) + len(b.Stock) + len(b.Note) + int(b.Stem) }
	sorted := slices.SortedStableFunc(slices.Values(batches), func(a, b records.Batch) int { return cmp.Compare(length(b), length(a)) })
	sorted = slices.CompactFunc(sorted, func(a, b records.Batch) bool {
		return a.Variety == b.Variety && a.Stock == b.Stock && a.Note == b.Note && a.Stem == b.Stem && a.Wrap == b.Wrap && a.Grafts == b.Grafts
	})
	return sorted[:min(most, len(sorted))]
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
