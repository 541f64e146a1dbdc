package site

import (
	"fmt"
	"mime"
	"net/http"
	"strconv"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// reprint sends the label or card of a code as a PDF, and records the reprint.
func (s *Site) reprint(r *request) error {
	code, err := r.code()
	if err != nil {
		return err
	}
	record, err := s.Ledger.Find(r.Context(), code)
	if err != nil {
		return err
	}
	if b := record.Batch; b.Void {
		return refuse(http.StatusUnprocessableEntity, b.ReviveAdvice(), "nothing is printed: the batch has been %s", b.VoidWords(s.Dates))
	}
	place, err := strconv.Atoi(r.PostForm.Get("place"))
	if most := s.Positions(code); err != nil || place < 1 || place > most {
		wrong := refuse(http.StatusUnprocessableEntity, "count positions along the rows, from the upper left", "a sheet has positions 1 to %d", most)
		return s.renderRefused(r, code, wrong, func(f *forms) { f.Place.Typed, f.Place.Faulty = cleanLine(r.PostForm.Get("place"), 4), true })
	}
	name, content, err := s.Reprint(r.Context(), record, place)
	if err != nil {
		return err
	}
	reprint := records.Reprint{Batch: code.Whole(), Kind: code.Kind(), Count: 1, Amendment: record.Batch.LastAmendment()}
	if code.Kind() != codes.Batch {
		reprint.Units = records.Numbers{code.Number()}
	}
	err = s.writing.hold(r.Context(), func() error {
		return s.Ledger.Change(r.Context(), func(c *ledger.Change) error { return c.Reprinted(r.Context(), []records.Reprint{reprint}) })
	})
	if err != nil {
		return fmt.Errorf("recording that %v was printed again: %w", code, err)
	}
	r.out.Header().Set("Content-Type", "application/pdf")
	r.out.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	r.out.Header().Set("Content-Length", strconv.Itoa(len(content)))
	_, _ = r.out.Write(content) // the phone may have gone
	return nil
}
