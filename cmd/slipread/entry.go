package main

import (
	"encoding/json"
	"fmt"
	"time"

	"graftslip/records"
)

// entryLine is an entry in an object of "slipread --json". What was not said is
// left out.
type entryLine struct {
	Entry       int    `json:"entry"`
	Code        string `json:"code"`
	At          string `json:"at"`
	By          string `json:"by,omitempty"`
	Alive       *int   `json:"alive,omitempty"`
	Growing     *int   `json:"growing,omitempty"`
	Rooted      *int   `json:"rooted,omitempty"`
	Dead        *int   `json:"dead,omitempty"`
	OutOfMist   bool   `json:"out_of_mist,omitempty"`
	Flushed     bool   `json:"flushed,omitempty"`
	Unwrapped   bool   `json:"unwrapped,omitempty"`
	Sold        int    `json:"sold,omitempty"`
	Planted     int    `json:"planted,omitempty"`
	Culled      int    `json:"culled,omitempty"`
	Unused      int    `json:"unused,omitempty"`
	Note        string `json:"note,omitempty"`
	Corrects    int    `json:"corrects,omitempty"`
	CorrectedBy int    `json:"corrected_by,omitempty"`
	Withdrawn   bool   `json:"withdrawn,omitempty"` // by that entry
}

func newEntryLine(o records.Entry) entryLine {
	said := func(count records.Count) *int {
		if n, is := count.Value(); is {
			return &n
		}
		return nil
	}
	return entryLine{
		Entry: o.Number, Code: o.Unit.String(), At: o.At.Format(time.RFC3339), By: o.By,
		Alive: said(o.Alive), Growing: said(o.Growing), Rooted: said(o.Rooted), Dead: said(o.Dead),
		OutOfMist: o.OutOfMist, Flushed: o.Flushed, Unwrapped: o.Unwrapped,
		Sold: o.Sold, Planted: o.Planted, Culled: o.Culled, Unused: o.Unused, Note: o.Note, Corrects: o.Corrects,
	}
}

// entry answers an entry that was kept: with its number and words, and how its
// unit stands by now.
func (p printer) entry(history records.History, o records.Entry) error {
	stands := p.standingOf(history, o.Unit)
	if p.asJSON {
		return json.NewEncoder(p.stdout).Encode(struct {
			entryLine
			standingLine
		}{newEntryLine(o), stands.line()})
	}
	record := records.Record{Batch: history.Batch, Code: o.Unit}
	parts := []string{o.Unit.String(), records.Pair(history.Batch.Variety, history.Batch.Stock), record.Words(), fmt.Sprintf("entry %d: %s", o.Number, o.Words())}
	_, err := fmt.Fprintln(p.stdout, spaced(append(parts, p.standing(stands)...)...))
	return err
}
