package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records"
)

// portion is the part of a manifest that is printed: the rows of a day, some rows, or all.
type portion struct {
	day  time.Time
	rows records.Numbers
}

func (p *portion) register(flags *pflag.FlagSet) {
	flags.Var(command.Date(&p.day), "day", "print only the rows of this graft date")
	flags.Var(command.Value(&p.rows, "ROWS", records.ParseNumbers, records.Numbers.String), "rows", "print only these rows of the spreadsheet, such as 4-9,12")
	command.NotSetting(flags, "day")
	command.NotSetting(flags, "rows")
}

func (p portion) check() error {
	if !p.day.IsZero() && len(p.rows) > 0 {
		return &command.UsageError{Err: fmt.Errorf("choose --day or --rows, not both")}
	}
	return nil
}

// has reports whether a row is in the portion. A row with an unreadable day may be in any.
func (p portion) has(row int, day time.Time) bool {
	switch {
	case !p.day.IsZero():
		return day.IsZero() || day.Equal(records.Midnight(p.day))
	case len(p.rows) > 0:
		return p.rows.Contains(row)
	}
	return true
}

// chosen reports whether a draft is in the portion.
func (p portion) chosen(d records.Draft) bool { return p.has(d.Row, d.Date) }

// name is what follows the manifest's name in the names of its files.
func (p portion) name() string {
	const most = 40 // characters: file systems limit names
	rows := p.rows.String()
	switch {
	case !p.day.IsZero():
		return "-" + p.day.Format(time.DateOnly)
	case len(rows) > most:
		return fmt.Sprintf("-%d-rows-from-%d-to-%d", len(p.rows), p.rows[0], p.rows[len(p.rows)-1])
	case rows != "":
		return "-rows-" + rows
	}
	return ""
}

// of returns the drafts in the portion. If there are none, the error lists the days or rows
// of the file.
func (p portion) of(manifest string, drafts []records.Draft) ([]records.Draft, error) {
	chosen := slices.DeleteFunc(slices.Clone(drafts), func(d records.Draft) bool { return !p.chosen(d) })
	if len(chosen) > 0 {
		return chosen, nil
	}
	var rows records.Numbers
	for _, draft := range drafts {
		rows = append(rows, draft.Row)
	}
	switch {
	case len(rows) == 0:
		return nil, fmt.Errorf("every row of %s has a fault", manifest)
	case len(p.rows) > 0:
		return nil, &command.HintedError{Err: fmt.Errorf("%s has no %s", manifest, p.rows.Rows()), Advice: "it has " + rows.Rows()}
	}
	return nil, &command.HintedError{Err: fmt.Errorf("%s has no row for %s", manifest, p.day.Format(time.DateOnly)), Advice: "its days are " + days(drafts)}
}

// days lists the days of drafts, only the first if there are many.
func days(drafts []records.Draft) string {
	const most = 12
	var all []string
	for _, draft := range drafts {
		all = append(all, draft.Date.Format(time.DateOnly))
	}
	slices.Sort(all)
	all = slices.Compact(all)
	if len(all) > most {
		return fmt.Sprintf("%s and %d more, up to %s", strings.Join(all[:most], ", "), len(all)-most, all[len(all)-1])
	}
	return strings.Join(all, ", ")
}
