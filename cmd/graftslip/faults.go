package main

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

// faultyError is everything that is wrong with a manifest. Nothing has been
// issued or written when it is returned.
type faultyError struct {
	faults []error
	advice string
}

func (e *faultyError) Error() string {
	return fmt.Sprintf("the manifest has %d faults", len(e.faults))
}

// Unwrap returns the faults; the last one carries the advice for all.
func (e *faultyError) Unwrap() []error {
	faults := slices.Clone(e.faults)
	last := &faults[len(faults)-1]
	for _, advice := range []string{e.advice, "nothing was issued and no file was written: mend these and print again"} {
		if advice != "" {
			*last = &command.HintedError{Err: *last, Advice: advice}
		}
	}
	return faults
}

// tryDesigns finds what does not fit on a label or card before any code is
// issued.
func (s *session) tryDesigns(file string, drafts []records.Draft) []error {
	var faults []error
	for _, draft := range drafts {
		faults = append(faults, tryDraft(draft, s.stemOptions, s.trayOptions)...)
	}
	for i, fault := range faults {
		faults[i] = fmt.Errorf("%s %w", file, fault)
	}
	return faults
}

// tryDraft designs the slips of a draft with a code that is never printed.
func tryDraft(draft records.Draft, stems, trays labels.Options) []error {
	code, err := codes.New(draft.Date, codes.MaxBatch)
	if err != nil {
		return []error{err}
	}
	batch := records.Batch{Code: code, Draft: draft}
	_, stemErr := labels.DesignStem(batch, stems)
	_, trayErr := labels.DesignTray(batch, trays)
	var faults []error
	seen := map[string]bool{} // a character that lacks is lacking on both
	for _, err := range []error{stemErr, trayErr} {
		if err == nil {
			continue
		}
		for _, each := range command.Flatten(err) {
			if !seen[each.Error()] {
				seen[each.Error()] = true
				faults = append(faults, each)
			}
		}
	}
	return faults
}

// advice names stock on which everything that does not fit would fit.
func (s *session) advice(faults []error, drafts []records.Draft) string {
	tight := map[int]bool{}
	cards := false
	for _, fault := range faults {
		var fit *labels.FitError
		if errors.As(fault, &fit) {
			tight[fit.Row] = true
			cards = cards || fit.Wrap == 0
		}
	}
	if len(tight) == 0 {
		return ""
	}
	var would []layouts.Stock
	for _, stock := range layouts.Catalogue() {
		stems, trays := s.stemOptions, s.trayOptions
		if cards {
			trays.Stock = stock
		} else {
			stems.Stock = stock
		}
		fits := !slices.ContainsFunc(drafts, func(draft records.Draft) bool {
			return tight[draft.Row] && len(tryDraft(draft, stems, trays)) > 0
		})
		if fits {
			would = append(would, stock)
		}
	}
	flag, present := "--stems", s.stems.Stock
	if cards {
		flag, present = "--trays", s.trays.Stock
	}
	if len(would) == 0 {
		return "shorten the names, or take larger label stock or another wrap"
	}
	return fmt.Sprintf("shorten the names, or take one of these for %s: %s", flag, strings.Join(present.Nearest(would), ", "))
}

// sortByRow puts faults in the order of a manifest's rows.
func sortByRow(faults []error) {
	slices.SortStableFunc(faults, func(a, b error) int { return cmp.Compare(rowOf(a), rowOf(b)) })
}

func rowOf(err error) int {
	var cell *manifest.CellError
	var glyph *labels.GlyphError
	var fit *labels.FitError
	var place *labels.PlaceError
	switch {
	case errors.As(err, &cell):
		return cell.Row
	case errors.As(err, &glyph):
		return glyph.Row
	case errors.As(err, &fit):
		return fit.Row
	case errors.As(err, &place):
		return place.Row
	}
	return 0
}
