package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/lookup"
)

// recordJSON is an object of "slipread --json" on a record. What does not apply is left out.
type recordJSON struct {
	Code    string  `json:"code,omitempty"`
	Kind    string  `json:"kind,omitempty"`
	Date    string  `json:"date,omitempty"`
	Days    *int    `json:"days,omitempty"`
	Look    string  `json:"look_from,omitempty"`
	Variety string  `json:"variety,omitempty"`
	Stock   string  `json:"stock,omitempty"`
	Source  string  `json:"source,omitempty"`
	Grafts  int     `json:"grafts,omitempty"`
	Stem    int     `json:"stem,omitempty"`
	Tray    int     `json:"tray,omitempty"`
	Trays   int     `json:"trays,omitempty"`
	From    int     `json:"from,omitempty"`
	To      int     `json:"to,omitempty"`
	Grafter string  `json:"grafter,omitempty"`
	Width   float64 `json:"stem_mm,omitempty"`
	Wrap    string  `json:"label_wrap,omitempty"`
	Note    string  `json:"note,omitempty"`
	Reprint int     `json:"reprints,omitempty"`
	Last    string  `json:"reprinted,omitempty"`

	Void       bool                    `json:"void,omitempty"`
	Amendments []command.AmendmentJSON `json:"amendments,omitempty"`
	statusJSON
	originJSON
}

// record writes the record of a code, and its state where that is known.
func (p printer) record(r records.Record, at origin, reprints []records.Reprint, s *status) error {
	if p.asJSON {
		l := p.recordJSON(r, at)
		l.statusJSON = s.json()
		if l.Reprint = len(reprints); l.Reprint > 0 {
			l.Last = reprints[l.Reprint-1].At.In(p.today.Location()).Format(time.DateOnly)
		}
		return json.NewEncoder(p.stdout).Encode(l)
	}
	parts := p.described(r)
	if at.carried {
		parts[len(p.named(r))-1] = p.issuedWords(r.Batch)
	}
	if n := len(reprints); n > 0 {
		said := "reprinted"
		if n > 1 {
			said = fmt.Sprintf("reprinted %d times, last", n)
		}
		parts = append(parts, said+" "+p.dates.Format(reprints[n-1].At.In(p.today.Location())))
	}
	for _, a := range r.Batch.Amendments {
		if a.UndoneBy == 0 && len(a.Changes) > 0 {
			parts = append(parts, "amended "+p.dates.Format(a.At)+a.ByWords()+": "+a.Words())
		}
	}
	parts = append(parts, p.statusWords(s)...)
	if at.carried {
		parts = append(parts, "from the card, not the ledger")
	}
	switch {
	case p.showFile && at.file != "":
		parts = append(parts, at.String())
	case at.page > 0:
		parts = append(parts, fmt.Sprintf("page %d", at.page))
	}
	_, err := fmt.Fprintln(p.stdout, spaced(parts...))
	return err
}

// named identifies a record, part by part.
func (p printer) named(r records.Record) []string {
	when := fmt.Sprintf("grafted %s, %s", p.dates.Format(r.Batch.Date), records.DaysWords(-r.Batch.DaysSince(p.today), "ago"))
	if r.Batch.Void {
		when = r.Batch.VoidWords(p.dates)
	}
	return []string{r.Code.String(), records.Pair(r.Batch.Variety, r.Batch.Stock), r.Words(), when}
}

// issuedWords is the graft date as known without a ledger: it may have been amended
// since.
func (p printer) issuedWords(b records.Batch) string {
	words := "issued for " + p.dates.Format(b.Code.Date())
	if !b.Date.Equal(b.Code.Date()) {
		words += ", amended to " + p.dates.Format(b.Date)
	}
	return words + ", " + records.DaysWords(-b.DaysSince(p.today), "ago")
}

// described is a record in words, part by part.
func (p printer) described(r records.Record) []string {
	parts := p.named(r)
	for _, also := range []struct{ what, text string }{{"source %s", r.Batch.Source}, {"by %s", r.Batch.Grafter}, {"note %s", r.Batch.Note}} {
		if also.text != "" {
			parts = append(parts, fmt.Sprintf(also.what, also.text))
		}
	}
	return parts
}

func (p printer) recordJSON(r records.Record, at origin) recordJSON {
	b, days := r.Batch, r.Batch.DaysSince(p.today)
	l := recordJSON{
		Code: r.Code.String(), Kind: r.Code.Kind().String(), Date: b.Date.Format(time.DateOnly), Days: &days,
		Look:    p.calendar.LookFrom(b).Format(time.DateOnly),
		Variety: b.Variety, Stock: b.Stock, Source: b.Source, Grafts: b.Grafts, Trays: b.Trays(),
		Grafter: b.Grafter, Width: b.Stem, Note: b.Note, originJSON: at.json(),
		Void: b.Void, Amendments: command.NewAmendmentsJSON(b),
	}
	if b.Wrap != 0 {
		l.Wrap = b.Wrap.String()
	}
	switch r.Code.Kind() {
	case codes.Stem:
		l.Stem = r.Code.Number()
		l.Tray = b.TrayOf(l.Stem)
	case codes.Tray:
		l.Tray = r.Code.Number()
		l.From, l.To = b.StemsIn(l.Tray)
	}
	return l
}

// candidateJSON is a record whose code a damaged one may have been.
type candidateJSON struct {
	recordJSON
	Faults  int      `json:"faults"`
	Changes []string `json:"changes"`
}

// candidates reports a damaged code with the codes that fit.
func (p printer) candidates(fault faultJSON, damaged lookup.Found) error {
	found := damaged.Candidates
	if p.asJSON {
		object := struct {
			faultJSON
			Candidates []candidateJSON `json:"candidates,omitempty"`
			Tried      string          `json:"tried,omitempty"`
		}{faultJSON: fault, Tried: damaged.Tried}
		for _, r := range found {
			object.Candidates = append(object.Candidates, candidateJSON{p.recordJSON(r.Record, origin{}), r.Faults, changed(r.Changes)})
		}
		return p.faultJSON(object)
	}
	err := fmt.Errorf("%q is not a valid code", damaged.Read)
	advise := func(hint string) { err = &command.HintedError{Err: err, Advice: hint} }
	describe := func(r lookup.Candidate) string {
		text := strings.Join(p.named(r.Record), ", ")
		if len(r.Changes) > 0 {
			text += " (" + strings.Join(changed(r.Changes), "; ") + ")"
		}
		return text
	}
	const most = 12
	switch {
	case len(found) == 0:
		advise("no code in the ledger fits: " + damaged.Tried)
		advise("read the label again, and type ? for a digit that you cannot read")
	case len(found) == 1:
		advise("probably " + describe(found[0]))
	default:
		advise(fmt.Sprintf("%d codes in the ledger fit, the likeliest first: check the plant and its tray", len(found)))
		for _, r := range found[:min(most, len(found))] {
			advise(describe(r))
		}
		if len(found) > most {
			advise(fmt.Sprintf("and %d more: try to read one more digit", len(found)-most))
		}
	}
	command.Report(p.stderr, err)
	return command.ErrReported
}

func changed(changes []codes.Change) []string {
	said := make([]string, len(changes))
	for i, change := range changes {
		said[i] = change.String()
	}
	return said
}
