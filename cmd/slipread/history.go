package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/codes"
	"graftslip/records"
)

func (p program) historyCommand() *cobra.Command {
	v := &baseCommand{program: p}
	c := &cobra.Command{
		Use:   "history CODE|NAME",
		Short: "List all entries about a tray, a stem or a batch",
		Long: `List all entries about a tray, a stem or a batch, including those about its parts and the units around it.
They come in the order in which things were seen, with the days since grafting. Reprints and amendments
are listed too. Corrected and undone entries stay in the list. The last lines give the state today and
what is due.

CODE may be that of a batch, such as 26329-004. NAME is a part of its variety, rootstock, source,
grafter or note; it must find one batch.`,
		Example: "  slipread history 26329-004-9001-36\n  slipread history 26329-004\n  slipread history blue marlpit",
		Args:    oneCode("give the code of a tray, a stem or a batch"),
		RunE: func(c *cobra.Command, args []string) error {
			l, err := v.open(c)
			if err != nil {
				return err
			}
			defer l.close()
			return l.history(c.Context(), joined(args)[0])
		},
	}
	c.Flags().SortFlags = false
	v.register(c, "write JSON: one object")
	return c
}

// history reports all that happened to the unit of a code.
func (l *job) history(ctx context.Context, text string) error {
	found, err := l.findNamed(ctx, text)
	if err != nil {
		return err
	}
	return l.out.history(found.Record, found.History.Entries(found.Code), found.Reprints, l.out.statusOf(found.History, found.Code))
}

// event is one line of a history: an entry, a reprint or an amendment.
type event struct {
	at        time.Time // in its own time zone
	entry     *records.HistoryEntry
	reprint   *records.Reprint
	amendment *records.Amendment
}

func (p printer) events(entries []records.HistoryEntry, reprints []records.Reprint, amendments []records.Amendment) []event {
	var all []event
	for i := range entries {
		all = append(all, event{at: entries[i].At, entry: &entries[i]})
	}
	for i := range reprints {
		all = append(all, event{at: reprints[i].At.In(p.today.Location()), reprint: &reprints[i]})
	}
	for i := range amendments {
		all = append(all, event{at: amendments[i].At, amendment: &amendments[i]})
	}
	slices.SortStableFunc(all, func(a, b event) int { return a.at.Compare(b.at) })
	return all
}

// eventJSON is an event in the object of "slipread history --json".
type eventJSON struct {
	Day int `json:"day"` // since grafting
	*entryJSON
	Reprinted string `json:"reprinted,omitempty"` // when
	Slips     int    `json:"slips,omitempty"`
}

func (p printer) history(r records.Record, entries []records.HistoryEntry, reprints []records.Reprint, s *status) error {
	if p.asJSON {
		events := p.events(entries, reprints, nil) // amendments stand in the record
		l := struct {
			recordJSON
			Events []eventJSON `json:"events"`
		}{p.recordJSON(r, origin{}), []eventJSON{}}
		l.statusJSON = s.json()
		for _, e := range events {
			l.Events = append(l.Events, e.line(r))
		}
		return json.NewEncoder(p.stdout).Encode(l)
	}
	events := p.events(entries, reprints, r.Batch.Amendments)
	var out strings.Builder
	fmt.Fprintln(&out, spaced(p.described(r)...))
	for _, e := range events {
		fmt.Fprintln(&out, spaced(append([]string{p.dates.Format(e.at), fmt.Sprintf("day %d", r.Batch.DaysSince(e.at))}, e.words(r.Code)...)...))
	}
	if len(events) == 0 {
		fmt.Fprintln(&out, "no entries yet")
	}
	for _, part := range p.statusWords(s) {
		fmt.Fprintln(&out, part)
	}
	_, err := fmt.Fprint(p.stdout, out.String())
	return err
}

func (e event) line(r records.Record) eventJSON {
	l := eventJSON{Day: r.Batch.DaysSince(e.at)}
	if e.reprint != nil {
		l.Reprinted, l.Slips = e.at.Format(time.RFC3339), slipsOf(*e.reprint)
		return l
	}
	entry := newEntryJSON(e.entry.Entry)
	entry.CorrectedBy, entry.Undone = e.entry.CorrectedBy, e.entry.Undone
	l.entryJSON = &entry
	return l
}

// slipsOf returns how many labels or cards of the code itself a reprint made.
func slipsOf(reprint records.Reprint) int {
	if reprint.Kind == codes.Batch {
		return reprint.Count
	}
	return 1
}

// words describes an event, part by part.
func (e event) words(asked codes.Code) []string {
	if e.amendment != nil {
		return e.amendment.Parts()
	}
	if e.reprint != nil {
		switch e.reprint.Kind {
		case codes.Stem:
			return []string{"label printed again"}
		case codes.Tray:
			return []string{"card printed again"}
		}
		return []string{records.Counted(e.reprint.Count, "spare label") + " printed"}
	}
	parts := []string{fmt.Sprintf("entry %d", e.entry.Number)}
	switch unit := e.entry.Unit; {
	case unit == asked:
	case unit.Kind() == codes.Batch:
		parts = append(parts, "whole batch")
	default:
		parts = append(parts, fmt.Sprintf("%v %d", unit.Kind(), unit.Number()))
	}
	if e.entry.By != "" {
		parts = append(parts, "by "+e.entry.By)
	}
	parts = append(parts, e.entry.Words())
	switch {
	case e.entry.Undone:
		parts = append(parts, fmt.Sprintf("undone by entry %d", e.entry.CorrectedBy))
	case e.entry.CorrectedBy != 0:
		parts = append(parts, fmt.Sprintf("corrected by entry %d", e.entry.CorrectedBy))
	}
	return parts
}
