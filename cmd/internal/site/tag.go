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

// tag makes the slip of a code once more, and writes down that it did.
func (s *Site) tag(v *visit) error {
	code, err := codes.Parse(v.PathValue("code"))
	if err != nil {
		return refuse(http.StatusNotFound, "scan it, or type its 14 digits", "this is no code")
	}
	record, err := s.Book.Find(v.Context(), code)
	if err != nil {
		return err
	}
	place, err := strconv.Atoi(v.PostForm.Get("place"))
	if most := s.Places(code); err != nil || place < 1 || place > most {
		wrong := refuse(http.StatusUnprocessableEntity, "places are counted along the rows, from the upper left", "a sheet has places 1 to %d", most)
		return s.again(v, code, wrong, func(f *forms) { f.Place.Typed, f.Place.Faulty = line(v.PostForm.Get("place"), 4), true })
	}
	name, content, err := s.Tag(v.Context(), record, place)
	if err != nil {
		return err
	}
	reprint := records.Reprint{Batch: code.Whole(), Kind: code.Kind(), Count: 1}
	if code.Kind() != codes.Batch {
		reprint.Units = records.Numbers{code.Number()}
	}
	err = s.writing.take(v.Context(), func() error {
		return s.Book.Change(v.Context(), func(c *ledger.Change) error { return c.Reprinted(v.Context(), []records.Reprint{reprint}) })
	})
	if err != nil {
		return fmt.Errorf("noting that %v was printed once more: %w", code, err)
	}
	v.out.Header().Set("Content-Type", "application/pdf")
	v.out.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	v.out.Header().Set("Content-Length", strconv.Itoa(len(content)))
	_, _ = v.out.Write(content) // a phone that has gone needs no tag
	return nil
}
