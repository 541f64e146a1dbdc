package main

import (
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/records/ledger"
	"graftslip/records/manifest"
)

// closedDays are the flags of "import" that read no cards.
type closedDays struct {
	list       bool
	until      time.Time
	from       time.Time
	reason, by string
}

func (d *closedDays) register(flags *pflag.FlagSet) {
	flags.BoolVar(&d.list, "closed", false, "list the days closed for new batches, and those opened again")
	flags.Var(command.Date(&d.until), "close", "close the days up to this one, as when a backup was put in the ledger's place")
	flags.Var(command.Date(&d.from), "open", "open the closed days again, from this day on")
	flags.StringVar(&d.reason, "reason", "", "`TEXT` of up to 120 letters: why labels of these days cannot be in use")
	flags.Var(command.Name(&d.by), "by", "name or initials of who opens them")
}

func (d *closedDays) asked() bool { return d.list || !d.until.IsZero() || !d.from.IsZero() }

// closedDays closes or opens days, and lists what was closed and opened.
func (v *baseCommand) closedDays(c *cobra.Command, d closedDays) error {
	switch {
	case c.Flags().Changed("until"):
		return &command.UsageError{Err: errors.New("--until goes with cards, not with --closed, --close or --open")}
	case !d.until.IsZero() && !d.from.IsZero():
		return &command.UsageError{Err: errors.New("--close and --open exclude each other")}
	}
	if !d.from.IsZero() && d.reason == "" {
		return &command.UsageError{Err: &command.HintedError{Err: errors.New("--open needs a reason: --reason TEXT"),
			Advice: "codes of these days may be in use on labels from the lost ledger; open them only if you know that none are"}}
	}
	reason, err := manifest.Value("note", d.reason, v.now())
	if err != nil {
		return &command.UsageError{Err: fmt.Errorf("--reason: %w", err)}
	}
	book, err := command.OpenLedger(c.Context(), v.ledgerFlag, ledger.WithClock(v.now))
	if err != nil {
		return err
	}
	defer book.Close()
	switch {
	case !d.until.IsZero():
		err = book.Change(c.Context(), func(change *ledger.Change) error {
			_, err := change.Restore(c.Context(), nil, d.until)
			return err
		})
	case !d.from.IsZero():
		err = book.Reopen(c.Context(), d.from, d.by, reason)
	}
	if err != nil {
		return err
	}
	closings, err := book.Closings(c.Context())
	if err != nil {
		return err
	}
	if v.asJSON {
		return closingsJSON(c, closings)
	}
	for _, closing := range closings {
		said := "closed up to " + closing.Until.Format(time.DateOnly)
		if !closing.Opened.IsZero() {
			said = fmt.Sprintf("open again from %s on%s: %s", closing.Opened.Format(time.DateOnly), byWhom(closing.By), closing.Reason)
		}
		if _, err := fmt.Fprintf(c.OutOrStdout(), "%s  %s\n", closing.At.Format(time.DateOnly), said); err != nil {
			return err
		}
	}
	until, err := book.Until(c.Context())
	if err != nil {
		return err
	}
	said := "no day is closed for new batches"
	if !until.IsZero() {
		said = "new batches need a graft date after " + until.Format(time.DateOnly)
	}
	_, err = fmt.Fprintln(c.OutOrStdout(), said)
	return err
}

func byWhom(name string) string {
	if name == "" {
		return ""
	}
	return " by " + name
}

// closingsJSON writes an object for each time that days were closed or opened.
func closingsJSON(c *cobra.Command, closings []ledger.Closing) error {
	type line struct {
		At     string `json:"at"`
		Until  string `json:"closed_until,omitempty"`
		Opened string `json:"open_from,omitempty"`
		By     string `json:"by,omitempty"`
		Reason string `json:"reason,omitempty"`
	}
	var lines []line
	for _, each := range closings {
		next := line{At: each.At.Format(time.RFC3339), By: each.By, Reason: each.Reason}
		if each.Opened.IsZero() {
			next.Until = each.Until.Format(time.DateOnly)
		} else {
			next.Opened = each.Opened.Format(time.DateOnly)
		}
		lines = append(lines, next)
	}
	return command.JSONLines(c.OutOrStdout(), lines)
}
