package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

// write writes the manifest and the session sheets, both or neither; none where
// nothing is planned.
func (j *planJob) write() error {
	if len(j.Drafts) == 0 {
		return nil
	}
	sheets, document, err := j.sheets()
	if err != nil {
		return err
	}
	staged, err := command.Stage(j.folder, j.used...)
	if err != nil {
		return j.cannotWrite(err)
	}
	defer staged.Discard()
	err = staged.Write(j.name+"-plan.csv", func(w io.Writer) error { return manifest.Write(w, j.Drafts) })
	if err == nil {
		err = staged.Write(j.name+"-sessions.pdf", func(w io.Writer) error {
			_, err := pdf.Write(w, document, sheets)
			return err
		})
	}
	if err == nil {
		j.files, err = staged.Keep()
	}
	if err != nil {
		return j.cannotWrite(err)
	}
	return nil
}

func (j *planJob) cannotWrite(err error) error {
	return command.Advise(err, "free some disk space or name another folder with --out, and plan again")
}

// sessions lists the days of grafting, each with its batches in the order of
// work.
func (j *planJob) sessions() [][]records.Draft {
	var sessions [][]records.Draft
	for i, draft := range j.Drafts {
		if i == 0 || !draft.Date.Equal(j.Drafts[i-1].Date) {
			sessions = append(sessions, nil)
		}
		sessions[len(sessions)-1] = append(sessions[len(sessions)-1], draft)
	}
	return sessions
}

// sheets are the pages of all sessions, and the document that they make.
func (j *planJob) sheets() (iter.Seq2[labels.Design, error], pdf.Document, error) {
	stems, trays, err := j.printing.Options()
	if err != nil {
		return nil, pdf.Document{}, err
	}
	paper := j.paper
	if paper == 0 {
		paper = layouts.PaperOf(stems.Stock, trays.Stock)
	}
	options := labels.SessionOptions{Options: stems, Paper: paper, Trays: trays.Stock}
	var pages []labels.Design
	var faults []error
	seen := map[string]bool{} // of an order on several days
	for _, day := range j.sessions() {
		session := labels.Session{Date: day[0].Date}
		for _, draft := range day {
			session.Batches = append(session.Batches, labels.SessionBatch{Draft: draft, Wood: j.woodSpare.Of(draft.Grafts), Spares: j.spare.Of(draft.Grafts)})
		}
		slips, err := labels.DesignSession(session, options)
		if err != nil {
			for _, fault := range command.Flatten(err) {
				if !seen[fault.Error()] {
					seen[fault.Error()] = true
					faults = append(faults, fmt.Errorf("%s %w", j.file, fault))
				}
			}
		}
		pages = append(pages, slips...)
	}
	if len(faults) > 0 {
		slices.SortStableFunc(faults, func(a, b error) int { return cmp.Compare(rowOf(a), rowOf(b)) })
		return nil, pdf.Document{}, command.Advise(errors.Join(faults...), "correct these and plan again; no file was written")
	}
	document := pdf.Document{
		Title: fmt.Sprintf(labels.SessionTitle, j.name), Author: "graftslip", Language: labels.Language, Face: options.Face,
		Date:  j.Drafts[0].Date, // the same plan gives the same bytes on any day
		Setup: labels.Setup{Stock: labels.SessionStock(paper), DPI: stems.DPI},
	}
	return func(yield func(labels.Design, error) bool) {
		for _, page := range pages {
			if !yield(page, nil) {
				return
			}
		}
	}, document, nil
}

// sums are what all sessions need together.
type sums struct {
	Grafts int `json:"grafts"`
	Trays  int `json:"trays"`
	Labels int `json:"labels"` // spare ones included
	Spares int `json:"spares"`
	Sheets int `json:"sheets"` // of stem labels
	Cards  int `json:"card_sheets"`
}

func (j *planJob) sums() sums {
	var s sums
	for _, d := range j.Drafts {
		s.Grafts += d.Grafts
		s.Trays += d.Trays()
		s.Spares += j.spare.Of(d.Grafts)
	}
	s.Labels = s.Grafts + s.Spares
	s.Sheets, s.Cards = j.printing.Stems.Sheets(s.Labels), j.printing.TrayStock().Sheets(s.Trays)
	return s
}

// countedOf writes a sum with what it is a part of.
func countedOf(part, whole int, noun string) string {
	if part == whole {
		return records.Counted(whole, noun)
	}
	return fmt.Sprintf("%d of %s", part, records.Counted(whole, noun))
}
