package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/lookup"
)

// printer writes records and faults, each on a line of its own as it comes.
type printer struct {
	stdout, stderr io.Writer
	asJSON         bool
	today          time.Time
	dates          records.DateForm
	calendar       records.Calendar
	tellFile       bool // a person has named more than one file or code
}

// origin is where a record comes from.
type origin struct {
	place
	carried bool // the slip's own symbol holds it
}

// line is an object of "slipread --json". What does not apply is left out.
type line struct {
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
	Wrap    string  `json:"wrap,omitempty"`
	Note    string  `json:"note,omitempty"`
	Reprint int     `json:"reprints,omitempty"`
	Last    string  `json:"reprinted,omitempty"`
	standingLine
	Carried bool   `json:"carried,omitempty"`
	File    string `json:"file,omitempty"`
	Page    int    `json:"page,omitempty"`
	sighted
	Read    string  `json:"read,omitempty"`
	Fault   string  `json:"fault,omitempty"`
	Reason  string  `json:"reason,omitempty"`
	Message string  `json:"message,omitempty"`
	May     []maybe `json:"candidates,omitempty"`
	Tried   string  `json:"tried,omitempty"`
}

// maybe is a code that a damaged one may have been.
type maybe struct {
	line
	Faults  int      `json:"faults"`
	Changes []string `json:"changes"`
}

// record writes what a code stands for, and how that stands where it is known.
func (p printer) record(r records.Record, from origin, reprints []records.Reprint, stands *standing) error {
	if p.asJSON {
		l := p.object(r, from)
		l.standingLine = stands.line()
		if l.Reprint = len(reprints); l.Reprint > 0 {
			l.Last = reprints[l.Reprint-1].At.In(p.today.Location()).Format(time.DateOnly)
		}
		return json.NewEncoder(p.stdout).Encode(l)
	}
	parts := p.described(r)
	if n := len(reprints); n > 0 {
		said := "reprinted"
		if n > 1 {
			said = fmt.Sprintf("reprinted %d times, last", n)
		}
		parts = append(parts, said+" "+p.dates.Format(reprints[n-1].At.In(p.today.Location())))
	}
	parts = append(parts, p.standing(stands)...)
	if from.carried {
		parts = append(parts, "as the card says, not the ledger")
	}
	switch {
	case p.tellFile && from.file != "":
		parts = append(parts, from.place.String())
	case from.page > 0:
		parts = append(parts, fmt.Sprintf("page %d", from.page))
	}
	_, err := fmt.Fprintln(p.stdout, strings.Join(parts, "  "))
	return err
}

// named is what tells a record from others, part by part.
func (p printer) named(r records.Record) []string {
	return []string{r.Code.String(), records.Pair(r.Batch.Variety, r.Batch.Stock), r.Words(),
		fmt.Sprintf("grafted %s, %s", p.dates.Format(r.Batch.Date), records.DaysWords(-r.DaysSince(p.today), "ago"))}
}

// described is what a record says, part by part.
func (p printer) described(r records.Record) []string {
	parts := p.named(r)
	for _, also := range []struct{ what, text string }{{"source %s", r.Batch.Source}, {"by %s", r.Batch.Grafter}, {"note %s", r.Batch.Note}} {
		if also.text != "" {
			parts = append(parts, fmt.Sprintf(also.what, also.text))
		}
	}
	return parts
}

func (p printer) object(r records.Record, from origin) line {
	b, days := r.Batch, r.DaysSince(p.today)
	l := line{
		Code: r.Code.String(), Kind: r.Code.Kind().String(), Date: b.Date.Format(time.DateOnly), Days: &days,
		Look:    p.calendar.LookFrom(b).Format(time.DateOnly),
		Variety: b.Variety, Stock: b.Stock, Source: b.Source, Grafts: b.Grafts, Trays: b.Trays(),
		Grafter: b.Grafter, Width: b.Stem, Note: b.Note, Carried: from.carried, File: from.file, Page: from.page,
		sighted: from.sighted(),
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

// fault reports why there is no record. It returns command.ErrReported.
func (p printer) fault(at place, text string, kind lookup.Kind, err error) error {
	if p.asJSON {
		return p.faultLine(newFault(at, text, kind, err))
	}
	command.Report(p.stderr, err)
	return command.ErrReported
}

func newFault(at place, text string, kind lookup.Kind, err error) line {
	return line{Read: strings.TrimSpace(text), File: at.file, Page: at.page, sighted: at.sighted(), Fault: string(kind), Message: err.Error()}
}

func (p printer) faultLine(l line) error {
	if err := json.NewEncoder(p.stdout).Encode(l); err != nil {
		return err
	}
	return command.ErrReported
}
