package records

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
)

// History is a batch with its entries.
type History struct {
	Batch   Batch
	entries []Entry    // all, by number
	valid   []Entry    // those that stand, in the order in which they were seen
	sums    *reckoning // of valid
}

// NewHistory returns the history of a batch with the entries that a ledger holds.
func NewHistory(batch Batch, entries []Entry) History {
	c := History{Batch: batch, entries: slices.Clone(entries)}
	slices.SortStableFunc(c.entries, func(a, b Entry) int { return cmp.Compare(a.Number, b.Number) })
	c.add()
	return c
}

// add adds up the entries that stand. A correction that keeps its time stands
// where the entry stood that it corrects, among others of that time; where that
// cannot be true, it stands where it was entered.
func (h *History) add() {
	if slices.ContainsFunc(h.entries, func(o Entry) bool { return o.Corrects != 0 }) {
		h.valid = standing(h.entries, true)
		h.sums = reckon(h.Batch, h.valid)
		if h.sums.check(h.valid) == nil {
			return
		}
	}
	h.valid = standing(h.entries, false)
	h.sums = reckon(h.Batch, h.valid)
}

// standing leaves out corrected and undone entries, and those that only undo. They
// come as they were seen; of one time, in the order in which they were entered,
// or with corrections in the places of what they correct.
func standing(entries []Entry, inPlace bool) []Entry {
	corrected, place := map[int]Entry{}, map[int]int{}
	for _, entry := range entries {
		corrected[entry.Corrects] = entry
	}
	for _, entry := range entries {
		if _, has := place[entry.Number]; !has {
			place[entry.Number] = entry.Number
		}
		if by := corrected[entry.Number]; inPlace && entry.Number != 0 && by.At.Equal(entry.At) {
			place[by.Number] = place[entry.Number]
		}
	}
	var valid []Entry
	for _, entry := range entries {
		if _, is := corrected[entry.Number]; !entry.Undoes() && (entry.Number == 0 || !is) {
			valid = append(valid, entry)
		}
	}
	slices.SortStableFunc(valid, func(a, b Entry) int {
		return cmp.Or(a.At.Compare(b.At), compareNumbers(place[a.Number], place[b.Number]))
	})
	return valid
}

// compareNumbers puts an entry without a number behind all others: it is new.
func compareNumbers(a, b int) int {
	if a == 0 || b == 0 {
		return cmp.Compare(b, a)
	}
	return cmp.Compare(a, b)
}

// With returns the history with one more entry, whose Of it sets. A correction
// without a time has the time of what it corrects. The error is an *EntryError.
func (h History) With(o Entry) (History, error) {
	o, err := h.checked(o)
	if err != nil {
		return History{}, err
	}
	with := h.and(o)
	if err := with.sums.check(with.valid); err != nil {
		return History{}, h.contradiction(o, err)
	}
	return with, nil
}

func (h History) and(o Entry) History {
	with := History{Batch: h.Batch, entries: append(slices.Clip(h.entries), o)}
	with.add()
	return with
}

// Last returns the entry with the highest number.
func (h History) Last() (Entry, bool) {
	if len(h.entries) == 0 {
		return Entry{}, false
	}
	return h.entries[len(h.entries)-1], true
}

// BatchesOf returns the batches of histories, in their order.
func BatchesOf(histories []History) []Batch {
	batches := make([]Batch, len(histories))
	for i, history := range histories {
		batches[i] = history.Batch
	}
	return batches
}

// HistoryEntry is an entry of a history with what became of it.
type HistoryEntry struct {
	Entry
	// CorrectedBy is the number of the entry that replaced or undid it, 0 while it
	// stands.
	CorrectedBy int
	// Undone: entry CorrectedBy only undid it.
	Undone bool
}

// Entries lists the entries about a unit, about what it is part of and about its parts,
// in the order in which they were seen.
func (h History) Entries(unit codes.Code) []HistoryEntry {
	correctedBy := map[int]Entry{}
	for _, entry := range h.entries {
		if entry.Corrects != 0 {
			correctedBy[entry.Corrects] = entry
		}
	}
	var entries []HistoryEntry
	for _, entry := range h.entries {
		if h.touches(unit, entry.Unit) {
			by := correctedBy[entry.Number]
			entries = append(entries, HistoryEntry{entry, by.Number, by.Undoes()})
		}
	}
	slices.SortStableFunc(entries, func(a, b HistoryEntry) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Number, b.Number)) })
	return entries
}

// touches reports whether one of two units of the batch is part of the other.
func (h History) touches(a, b codes.Code) bool {
	return h.holds(a, b) || h.holds(b, a)
}

// holds reports whether the unit part is unit itself or within it.
func (h History) holds(unit, part codes.Code) bool {
	switch unit, part = h.plain(unit), h.plain(part); {
	case unit == part, unit.Kind() == codes.Batch:
		return true
	case unit.Kind() == codes.Tray && part.Kind() == codes.Stem:
		return h.Batch.TrayOf(part.Number()) == unit.Number()
	}
	return false
}

// plain gives the only tray of a batch the code of the batch, which it is.
func (h History) plain(unit codes.Code) codes.Code {
	if unit.Kind() == codes.Tray && h.Batch.Trays() == 1 {
		return h.Batch.Code
	}
	return unit
}

// card gives a batch in one tray the code of that tray, which its card carries.
func (h History) card(unit codes.Code) codes.Code {
	if tray, err := unit.Tray(1); err == nil && unit.Kind() == codes.Batch && h.Batch.Trays() == 1 {
		return tray
	}
	return unit
}

// Units lists what a grower checks as one: the trays of the batch, or the batch where it
// stands in one tray.
func (h History) Units() []codes.Code {
	if h.Batch.Trays() == 1 {
		return []codes.Code{h.Batch.Code}
	}
	var units []codes.Code
	for tray := 1; tray <= h.Batch.Trays(); tray++ {
		if code, err := h.Batch.Code.Tray(tray); err == nil { // a batch has no more trays than codes can name
			units = append(units, code)
		}
	}
	return units
}

// stemsOf returns how many stems a unit has.
func stemsOf(batch Batch, unit codes.Code) int {
	switch unit.Kind() {
	case codes.Stem:
		return 1
	case codes.Tray:
		from, to := batch.StemsIn(unit.Number())
		return to - from + 1
	}
	return batch.Grafts
}

// EntryError is why an entry is refused.
type EntryError struct {
	Unit    codes.Code
	Problem string
	Advice  string // may be empty
	// Contradicts: the entry is valid by itself but contradicts those before, or its own
	// numbers. Earlier is the entry it contradicts; its Number is 0 where it takes several.
	Contradicts bool
	Earlier     Entry

	words string // of the entry, where it contradicts
}

func (e *EntryError) Error() string {
	switch {
	case e.Earlier.Number != 0:
		return fmt.Sprintf("%v: %s contradicts %s: %s", e.Unit, e.words, e.Earlier.named(), e.Problem)
	case e.Contradicts:
		return fmt.Sprintf("%v: %s: %s", e.Unit, e.words, e.Problem)
	}
	return fmt.Sprintf("%v: %s", e.Unit, e.Problem)
}

// Hint returns the advice, in one line; it may be empty.
func (e *EntryError) Hint() string {
	switch {
	case e.Earlier.Number != 0:
		return fmt.Sprintf("count again; if entry %d is wrong, correct or undo it", e.Earlier.Number)
	case e.Contradicts:
		return "count again: dead means all since sticking, and what left does not come back"
	}
	return e.Advice
}

// checked returns the entry as it is kept, or why it is invalid by itself.
func (h History) checked(o Entry) (Entry, error) {
	wrong := func(advice, problem string, values ...any) (Entry, error) {
		return o, o.wrong(advice, problem, values...)
	}
	if !(Record{Batch: h.Batch, Code: o.Unit}).Exists() || o.Unit.Whole() != h.Batch.Code {
		return wrong("", "the code is not part of batch %s", h.Batch.Code.BatchName())
	}
	if h.Batch.Void {
		return wrong(h.Batch.ReviveAdvice(), "nothing can be entered: the batch has been %s", h.Batch.VoidWords(DateDay))
	}
	if o.Corrects != 0 {
		at, err := h.corrected(o)
		if err != nil {
			return o, err
		}
		if o.At.IsZero() {
			o.At = at
		}
	} else if o.Empty() {
		return wrong("enter a count, what you did, or a note", "the entry is empty")
	}
	if o.Day().Before(h.Batch.Date) {
		return wrong("give the day you saw it", "%s is before grafting (%s)", o.Day().Format(time.DateOnly), h.Batch.Date.Format(time.DateOnly))
	}
	if letters := len([]rune(o.Note)); letters > MaxText {
		return wrong("", "a note has at most %d letters; this one has %d", MaxText, letters)
	}
	if letters := len([]rune(o.By)); letters > MaxName {
		return wrong("", "a name has at most %d letters; this one has %d", MaxName, letters)
	}
	o.Of = stemsOf(h.Batch, o.Unit)
	for field := range NumFields {
		switch n, _ := o.Value(field); {
		case n < 0:
			return wrong("", "%d %v: a count cannot be negative", n, field)
		case n > o.Of:
			return wrong("", "%d %v is more than the %s here", n, field, Counted(o.Of, "stem"))
		}
	}
	living, told := o.living().Value()
	if alive, said := o.Alive.Value(); told && said && living > alive {
		return wrong("count growing and rooted among the living", "%s: at most %d can be growing or rooted", o.Counts.words(), alive)
	}
	return o, nil
}

// words returns the counts in words.
func (c Counts) words() string { return Entry{Counts: c}.Words() }

// wrong returns the error of an entry that is invalid by itself.
func (e Entry) wrong(advice, problem string, values ...any) error {
	return &EntryError{Unit: e.Unit, Problem: fmt.Sprintf(problem, values...), Advice: advice}
}

// corrected checks which entry a correction names and returns its time.
func (h History) corrected(o Entry) (time.Time, error) {
	for _, entry := range h.Entries(h.Batch.Code) {
		switch {
		case entry.Number != o.Corrects:
		case entry.Undone:
			return time.Time{}, o.wrong("make a new entry instead", "entry %d was already undone by entry %d", o.Corrects, entry.CorrectedBy)
		case entry.CorrectedBy != 0:
			return time.Time{}, o.wrong(fmt.Sprintf("correct entry %d instead", entry.CorrectedBy), "entry %d was already corrected by entry %d", o.Corrects, entry.CorrectedBy)
		case entry.Undoes():
			return time.Time{}, o.wrong("make a new entry instead", "entry %d only undoes another entry", o.Corrects)
		default:
			return entry.At, nil
		}
	}
	return time.Time{}, o.wrong("slipread history CODE lists the entries with their numbers", "batch %s has no entry %d", h.Batch.Code.BatchName(), o.Corrects)
}
