package records

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Empty reports whether an amendment changes nothing.
func (a Amendment) Empty() bool { return len(a.Changes) == 0 && !a.Void && a.Undoes == 0 }

// Amend returns the amendment that changes fields of the batch to texts valid in a manifest. It
// is empty if nothing changes. The error is a *Problem.
func (h History) Amend(wanted []Change) (Amendment, error) {
	name := h.Batch.Code.BatchName()
	if h.Batch.Void {
		return Amendment{}, &Problem{Text: fmt.Sprintf("batch %s is void, so it cannot be amended", name), Advice: h.Batch.ReviveAdvice()}
	}
	is := h.Batch.Draft
	var a Amendment
	for _, c := range wanted {
		if is.Text(c.Field) != c.Is {
			a.Changes = append(a.Changes, Change{c.Field, is.Text(c.Field), c.Is})
			is = is.with(c.Field, c.Is)
		}
	}
	return a, h.graftedBeforeEntries(is.Date)
}

// graftedBeforeEntries refuses a graft date after an entry.
func (h History) graftedBeforeEntries(date time.Time) error {
	early := slices.IndexFunc(h.valid, func(e Entry) bool { return e.Day().Before(date) })
	if early < 0 {
		return nil
	}
	entry := h.valid[early]
	return &Problem{Text: fmt.Sprintf("batch %s cannot be grafted on %s: %s was made before", h.Batch.Code.BatchName(), date.Format(time.DateOnly), entry.named()),
		Advice: fmt.Sprintf("give a date up to %s; if the entry is wrong, undo it: slipread log --undo %d", entry.Day().Format(time.DateOnly), entry.Number)}
}

// MakeVoid returns the amendment that makes the batch void, empty if it is void already.
// Standing entries prevent it, because they show that there were plants. The error is a
// *Problem.
func (h History) MakeVoid(reason string) (Amendment, error) {
	if h.Batch.Void {
		return Amendment{}, nil
	}
	if len(h.valid) > 0 {
		entry := h.valid[len(h.valid)-1]
		return Amendment{}, &Problem{Text: fmt.Sprintf("batch %s cannot become void: %s shows that it was made", h.Batch.Code.BatchName(), entry.named()),
			Advice: fmt.Sprintf("if the entry is wrong, undo it: slipread log --undo %d; for labels never used, run slipread log CODE --unused N", entry.Number)}
	}
	return Amendment{Void: true, Reason: reason}, nil
}

// Undo returns the amendment that undoes the last standing one. With void, that one must have
// made the batch void; otherwise it must not. The error is a *Problem.
func (h History) Undo(void bool) (Amendment, error) {
	name := h.Batch.Code.BatchName()
	last, is := h.Batch.Standing()
	switch {
	case void && !h.Batch.Void:
		return Amendment{}, &Problem{Text: fmt.Sprintf("batch %s is not void", name)}
	case !is:
		return Amendment{}, &Problem{Text: fmt.Sprintf("batch %s has no amendment to undo", name), Advice: "slipread history " + name + " lists all of them"}
	case last.Void && !void:
		return Amendment{}, &Problem{Text: fmt.Sprintf("batch %s is void, so no amendment of it can be undone", name), Advice: h.Batch.ReviveAdvice()}
	}
	was := h.Batch.Draft
	for _, c := range last.Changes {
		was = was.with(c.Field, c.Was)
	}
	return Amendment{Undoes: last.Number}, h.graftedBeforeEntries(was.Date)
}

// ReviveAdvice says what to do if a void batch was made after all.
func (b Batch) ReviveAdvice() string {
	return fmt.Sprintf("if it was made after all, run graftslip void %s --undo", b.Code.BatchName())
}

// VoidWords reports that a batch is void, since when, by whom and why: "void since 2026-12-02
// by MK: never grafted".
func (b Batch) VoidWords(dates DateForm) string {
	a, _ := b.Standing()
	words := "void since " + dates.Format(a.At) + a.ByWords()
	if a.Reason != "" {
		words += ": " + a.Reason
	}
	return words
}

// Check finds a text that is too long. The error is a *Problem.
func (a Amendment) Check() error {
	switch {
	case len([]rune(a.By)) > MaxName:
		return &Problem{Text: fmt.Sprintf("a name has at most %d letters; this one has %d", MaxName, len([]rune(a.By)))}
	case len([]rune(a.Reason)) > MaxText:
		return &Problem{Text: fmt.Sprintf("a reason has at most %d letters; this one has %d", MaxText, len([]rune(a.Reason)))}
	}
	return nil
}

// Words describes an amendment in one line: "variety “Blue Lantern”, was “Blue Lantren”",
// "void: never grafted", "undoes amendment 3".
func (a Amendment) Words() string {
	switch {
	case a.Undoes != 0:
		return fmt.Sprintf("undoes amendment %d", a.Undoes)
	case a.Void && a.Reason != "":
		return "void: " + a.Reason
	case a.Void:
		return "void"
	}
	var words []string
	for _, c := range a.Changes {
		words = append(words, c.Words())
	}
	return strings.Join(words, "; ")
}

// Words describes a change: "note “soft”, was empty".
func (c Change) Words() string {
	text := func(text string) string {
		switch {
		case text == "":
			return "empty"
		case c.Field == "date":
			return text
		}
		return "“" + text + "”"
	}
	return fmt.Sprintf("%s %s, was %s", c.Field, text(c.Is), text(c.Was))
}

// ByWords names who made an amendment, as in " by MK"; "" if nobody is named.
func (a Amendment) ByWords() string {
	if a.By == "" {
		return ""
	}
	return " by " + a.By
}

// Parts describes an amendment part by part: its number and maker, its Words, what undid it.
func (a Amendment) Parts() []string {
	parts := []string{fmt.Sprintf("amendment %d%s", a.Number, a.ByWords()), a.Words()}
	if a.UndoneBy != 0 {
		parts = append(parts, fmt.Sprintf("undone by amendment %d", a.UndoneBy))
	}
	return parts
}
