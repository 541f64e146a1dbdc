package site

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// The most letters of a code as typed, and as quoted in an error. A hand scanner may
// type a whole record from a card, or a link.
const maxTyped, maxShown = 600, 60

// scan shows the page, or opens the record of the code or name typed.
func (s *Site) scan(r *request) error {
	typed := cleanLine(r.URL.Query().Get("code"), maxTyped)
	if typed == "" {
		s.render(r, http.StatusOK, "scan", frame{Title: "Scan", Here: "scan"})
		return nil
	}
	text := lookup.Parse(typed)
	switch {
	case text.Invalid == nil:
		return r.redirect(recordPath(text.Code))
	case text.Form == lookup.Name:
		return s.showNamed(r, text.Read)
	}
	return s.showCandidates(r, text)
}

// showCandidates lists the records that an invalid code may stand for, and says why it
// is invalid.
func (s *Site) showCandidates(r *request, text lookup.Text) error {
	// Number pads have a key for a point, and none for a question mark.
	candidates, err := lookup.Candidates(r.Context(), s.Ledger, strings.ReplaceAll(text.Read, ".", "?"))
	if err != nil {
		return err
	}
	var page foundPage
	for _, candidate := range candidates[:min(len(candidates), maxFound)] {
		page.add(candidate.Record)
	}
	hint := "check the plant before you trust one of these"
	page.Said = "It may be one of these:"
	if len(candidates) == 0 {
		page.Said = ""
		hint = "a code has 14 digits; type * for a digit that you cannot read"
	}
	f := frame{Title: "Not a valid code", Here: "scan", Problem: newProblem(fmt.Sprintf("“%s” is not a valid code: %v", cleanLine(text.Read, maxShown), text.Invalid), hint), Body: page}
	s.render(r, http.StatusNotFound, "found", f)
	return nil
}

// foundPage lists the records on a photo, those that a damaged code may stand for, or those that
// a name matches.
type foundPage struct {
	Said    string // above the list; may be empty
	Records []foundRecord
	More    string   // below the list; may be empty
	Others  []string // what was seen and has no record
	Near    []string // names that may be meant
}

type foundRecord struct {
	Code              codes.Code
	Pair, Unit, State string
}

func (f *foundPage) add(r records.Record) {
	unit := r.Batch.UnitWords(r.Code)
	if r.Batch.Void {
		unit = "void, " + unit
	}
	f.Records = append(f.Records, foundRecord{Code: r.Code, Pair: records.Pair(r.Batch.Variety, r.Batch.Stock), Unit: unit})
}

// photo reads a photo. One code opens its record, several open a list.
func (s *Site) photo(r *request) error {
	reading, err := s.readPhoto(r)
	if err != nil {
		return err
	}
	seen := url.Values{}
	for _, found := range reading.Found {
		if code, err := codes.FromSymbol(found.Text); err == nil && !slices.Contains(seen["code"], code.Compact()) {
			seen.Add("code", code.Compact())
		}
	}
	for _, missed := range reading.Missed {
		seen.Add("missed", strconv.Itoa(int(missed.Reason)))
	}
	switch {
	case len(seen["code"]) == 0 && len(seen["missed"]) == 0:
		return refuse(http.StatusNotFound, "go closer, with the whole code in the photo, straight on and in even light; or enter the code", "no code was found on this photo")
	case len(seen["code"]) == 0:
		return refuse(http.StatusNotFound, (&scan.MissedError{Missed: reading.Missed[0]}).Hint(), "a code was found but could not be read: %v", reading.Missed[0].Reason)
	case len(seen["code"]) == 1 && len(seen["missed"]) == 0:
		return r.redirect("/" + seen.Get("code"))
	}
	return r.redirect("/found?" + seen.Encode())
}

// maxFound is the most codes in a list.
const maxFound = 200

// found lists the codes read on a photo.
func (s *Site) found(r *request) error {
	var page foundPage
	query := r.URL.Query()
	for _, text := range query["code"][:min(len(query["code"]), maxFound)] {
		code, err := codes.Parse(text)
		if err != nil {
			continue
		}
		record, err := s.Ledger.Find(r.Context(), code)
		switch {
		case errors.Is(err, ledger.ErrNotIssued):
			page.Others = append(page.Others, fmt.Sprintf("%v is not in the ledger", code))
		case err != nil:
			return err
		default:
			page.add(record)
		}
	}
	for _, text := range query["missed"][:min(len(query["missed"]), maxFound)] {
		if reason, err := strconv.Atoi(text); err == nil && reason >= int(scan.Unclear) && reason <= int(scan.CutOff) {
			page.Others = append(page.Others, fmt.Sprintf("a code was found but not read: %v", scan.Reason(reason)))
		}
	}
	s.render(r, http.StatusOK, "found", frame{Title: records.Counted(len(page.Records), "code"), Here: "scan", Body: page})
	return nil
}
