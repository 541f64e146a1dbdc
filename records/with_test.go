package records_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

func hintOf(err error) string {
	advice, _ := err.(interface{ Hint() string })
	if advice == nil {
		return ""
	}
	return advice.Hint()
}

const several = "count again: dead means all since sticking, and what left does not come back"

func orEntry(n string) string {
	return "count again; if entry " + n + " is wrong, correct or undo it"
}

// What is refused whatever was seen before.
func TestEntriesWrongByThemselves(t *testing.T) {
	b := batch(t, 40, 20)
	other, err := codes.New(b.Date, 5)
	require.NoError(t, err)
	name := b.Code.BatchName()
	for _, row := range []struct {
		reason        string
		change        func(*records.Entry)
		problem, hint string
	}{
		{"another batch", func(o *records.Entry) { o.Unit = other }, "the code is not part of batch " + name, ""},
		{"a stem of another batch", func(o *records.Entry) { o.Unit, _ = other.Stem(1) }, "the code is not part of batch " + name, ""},
		{"a stem too many", func(o *records.Entry) { o.Unit, _ = b.Code.Stem(41) }, "the code is not part of batch " + name, ""},
		{"a tray too many", func(o *records.Entry) { o.Unit, _ = b.Code.Tray(3) }, "the code is not part of batch " + name, ""},
		{"no code", func(o *records.Entry) { o.Unit = codes.Code{} }, "the code is not part of batch " + name, ""},
		{"nothing said", func(o *records.Entry) { o.Note = "" }, "the entry is empty", "enter a count, what you did, or a note"},
		{"the day before", func(o *records.Entry) { o.At = b.Date.Add(-time.Second) }, "2026-11-24 is before grafting (2026-11-25)", "give the day you saw it"},
		{"the day before, where it was seen", func(o *records.Entry) { o.At = b.Date.Add(time.Hour).In(time.FixedZone("", -2*60*60)) }, "2026-11-24 is before grafting (2026-11-25)", "give the day you saw it"},
		{"no time", func(o *records.Entry) { o.At = time.Time{} }, "0001-01-01 is before grafting (2026-11-25)", "give the day you saw it"},
		{"a long note", func(o *records.Entry) { o.Note = strings.Repeat("é", records.MaxText+1) }, "a note has at most 120 letters; this one has 121", ""},
		{"a long name", func(o *records.Entry) { o.By = strings.Repeat("é", records.MaxName+1) }, "a name has at most 60 letters; this one has 61", ""},
		{"more alive than there are", func(o *records.Entry) { o.Alive = records.Said(21) }, "21 alive is more than the 20 stems here", ""},
		{"more growing", func(o *records.Entry) { o.Growing = records.Said(21) }, "21 growing is more than the 20 stems here", ""},
		{"more rooted", func(o *records.Entry) { o.Rooted = records.Said(21) }, "21 rooted is more than the 20 stems here", ""},
		{"more dead", func(o *records.Entry) { o.Dead = records.Said(21) }, "21 dead is more than the 20 stems here", ""},
		{"fewer than none", func(o *records.Entry) { o.Dead = records.Said(-1) }, "-1 dead: a count cannot be negative", ""},
		{"more sold", func(o *records.Entry) { o.Sold = 21 }, "21 sold is more than the 20 stems here", ""},
		{"sold fewer than none", func(o *records.Entry) { o.Sold = -1 }, "-1 sold: a count cannot be negative", ""},
		{"more planted", func(o *records.Entry) { o.Planted = 21 }, "21 planted is more than the 20 stems here", ""},
		{"more culled", func(o *records.Entry) { o.Culled = 21 }, "21 culled is more than the 20 stems here", ""},
		{"more unused", func(o *records.Entry) { o.Unused = 21 }, "21 unused is more than the 20 stems here", ""},
		{"two of a stem", func(o *records.Entry) { o.Unit, _ = b.Code.Stem(3); o.Sold = 2 }, "2 sold is more than the 1 stem here", ""},
		{"more grow than live", func(o *records.Entry) { o.Alive, o.Growing = records.Said(3), records.Said(4) }, "3 alive, 4 growing: at most 3 can be growing or rooted", "count growing and rooted among the living"},
		{"more have roots than live", func(o *records.Entry) {
			o.Alive, o.Growing, o.Rooted = records.Said(3), records.Said(2), records.Said(4)
		}, "3 alive, 2 growing, 4 rooted: at most 3 can be growing or rooted", "count growing and rooted among the living"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			o := line{part: -1, note: "x"}.entry(t, b)
			row.change(&o)
			_, err := records.NewHistory(b, nil).With(o)
			var wrong *records.EntryError
			require.ErrorAs(t, err, &wrong)
			require.False(t, wrong.Contradicts)
			require.Equal(t, o.Unit, wrong.Unit)
			require.Equal(t, row.problem, wrong.Problem)
			require.EqualError(t, err, o.Unit.String()+": "+row.problem)
			require.Equal(t, row.hint, hintOf(err))
		})
	}
	for _, o := range []records.Entry{
		{Unit: b.Code, At: b.Date, Note: strings.Repeat("é", records.MaxText), By: strings.Repeat("é", records.MaxName)},
		{Unit: b.Code, At: b.Date.Add(-time.Hour).In(time.FixedZone("", 2*60*60)), Counts: dead(0)},
		{Unit: stemOf(t, b, 40), At: b.Date, Moves: records.Moves{Sold: 1}},
	} {
		c, err := records.NewHistory(b, nil).With(o)
		require.NoError(t, err, "what just goes")
		last, is := c.Last()
		require.True(t, is)
		o.Of = stemsIn(b, o.Unit)
		require.Equal(t, o, last)
	}
}

// What cannot be true together with what was seen before.
func TestContradictions(t *testing.T) {
	for _, row := range []struct {
		reason         string
		lines          []line
		last           line
		problem, shown string // "" where it takes several
		hint           string
	}{
		{"more alive than were", []line{{part: -1, day: 1, Counts: alive(15)}}, line{part: -1, day: 2, Counts: alive(16)},
			"16 alive: dead plants cannot come back", "entry 1 of 2026-11-26, tray 1 (15 alive)", orEntry("1")},
		{"fewer dead than were", []line{{part: -1, day: 1, Counts: dead(5)}}, line{part: -1, day: 2, Counts: dead(4)},
			"4 dead: dead plants cannot come back", "entry 1 of 2026-11-26, tray 1 (5 dead)", orEntry("1")},
		{"none is dead where a stem was", []line{{part: 3, day: 1, Counts: dead(1)}}, line{part: 0, day: 2, Counts: dead(0)},
			"0 dead: dead plants cannot come back", "entry 1 of 2026-11-26, stem 3 (1 dead)", orEntry("1")},
		{"a dead stem grows", []line{{part: 3, day: 1, Counts: dead(1)}}, line{part: 3, day: 2, Counts: growing(1)},
			"1 growing: dead plants cannot come back", "entry 1 of 2026-11-26, stem 3 (1 dead)", orEntry("1")},
		{"entered late: it would have lived again", []line{{part: -1, day: 9, Counts: alive(16)}}, line{part: -1, day: 2, Counts: alive(15)},
			"15 alive: dead plants cannot come back", "entry 1 of 2026-12-04, tray 1 (16 alive)", orEntry("1")},
		{"a stem of a tray in which none lives", []line{{part: -1, day: 1, Counts: alive(0)}}, line{part: 3, day: 2, Counts: rooted(1)},
			"1 rooted: dead plants cannot come back", "entry 1 of 2026-11-26, tray 1 (0 alive)", orEntry("1")},
		{"a dead stem is sold", []line{{part: 3, day: 1, Counts: dead(1)}}, line{part: 3, day: 2, Moves: sold(1)},
			"1 sold: 1 dead and 1 gone make more than the 1 there were", "entry 1 of 2026-11-26, stem 3 (1 dead)", orEntry("1")},
		{"a stem is sold twice", []line{{part: 3, day: 1, Moves: sold(1)}}, line{part: 3, day: 2, Moves: sold(1)},
			"1 sold: 0 dead and 2 gone make more than the 1 there were", "entry 1 of 2026-11-26, stem 3 (1 sold)", orEntry("1")},
		{"more sold than were counted alive", []line{{part: -1, day: 1, Counts: alive(5)}, {part: -1, day: 2, Moves: sold(3)}}, line{part: -1, day: 3, Moves: sold(3)},
			"3 sold: 15 dead and 6 gone make more than the 20 there were", "entry 2 of 2026-11-27, tray 1 (3 sold)", orEntry("2")},
		{"more alive than are left", []line{{part: -1, day: 1, Moves: sold(6)}}, line{part: -1, day: 2, Counts: alive(15)},
			"15 alive: at most 14 can be alive", "entry 1 of 2026-11-26, tray 1 (6 sold)", orEntry("1")},
		{"alive and dead are not all", nil, line{part: -1, day: 1, Counts: records.Counts{Alive: records.Said(10), Dead: records.Said(9)}},
			"10 alive, 9 dead: 10 alive and 9 dead make 19, not 20", "", several},
		{"alive and dead are too many; 19 of 20 would be as wrong", []line{{part: -1, day: 1, Moves: records.Moves{Culled: 2}}}, line{part: -1, day: 1, Counts: records.Counts{Alive: records.Said(10), Dead: records.Said(9)}},
			"10 alive, 9 dead: 10 alive and 9 dead make 19, not 18", "", several},
		{"a stem of a tray that was sold", []line{{part: -1, day: 1, Moves: sold(20)}}, line{part: 3, day: 2, Counts: growing(1)},
			"1 growing: with the 20 that left, that makes more than 20 stems", "entry 1 of 2026-11-26, tray 1 (20 sold)", orEntry("1")},
		{"either sale is one too many", []line{{part: -1, day: 1, Moves: sold(10)}, {part: -1, day: 2, Moves: sold(5)}}, line{part: -1, day: 3, Moves: sold(16)},
			"16 sold: 0 dead and 31 gone make more than the 20 there were", "entry 2 of 2026-11-27, tray 1 (5 sold)", orEntry("2")},
		{"any two of three together, and none alone", []line{{part: -1, day: 1, Moves: sold(6)}, {part: -1, day: 2, Moves: sold(6)}, {part: -1, day: 3, Moves: sold(6)}}, line{part: -1, day: 4, Moves: sold(9)},
			"9 sold: 0 dead and 27 gone make more than the 20 there were", "", several},
		{"several say the same: the latest that is enough by itself", []line{{part: -1, day: 1, Counts: dead(3)}, {part: 3, day: 2, note: "x"}, {part: -1, day: 3, Counts: dead(3)}, {part: -2, day: 4, Counts: dead(1)}}, line{part: -1, day: 5, Counts: alive(20)},
			"20 alive: dead plants cannot come back", "entry 3 of 2026-11-28, tray 1 (3 dead)", orEntry("3")},
		{"sold after none was alive, told twice", []line{{part: -1, day: 1, Counts: alive(0)}, {part: -1, day: 2, Counts: dead(20)}}, line{part: -1, day: 3, Moves: sold(1)},
			"1 sold: 20 dead and 1 gone make more than the 20 there were", "entry 2 of 2026-11-27, tray 1 (20 dead)", orEntry("2")},
		{"the latest that it takes is shown", []line{{part: -1, day: 1, Moves: sold(10)}, {part: -2, day: 2, Moves: sold(5)}, {part: -1, day: 3, Moves: sold(6)}}, line{part: -1, day: 4, Moves: sold(5)},
			"5 sold: 0 dead and 21 gone make more than the 20 there were", "entry 3 of 2026-11-28, tray 1 (6 sold)", orEntry("3")},
		{"unused labels, where all live", []line{{part: 0, day: 5, Counts: alive(40)}}, line{part: 0, day: 6, Moves: unused(1)},
			"1 unused: at most 39 can be alive", "entry 1 of 2026-11-30, whole batch (40 alive)", orEntry("1")},
	} {
		t.Run(row.reason, func(t *testing.T) {
			b := batch(t, 40, 20)
			c := entered(t, b, row.lines...)
			o := row.last.entry(t, b)
			_, err := c.With(o)
			var contradiction *records.EntryError
			require.ErrorAs(t, err, &contradiction)
			require.True(t, contradiction.Contradicts)
			require.Equal(t, o.Unit, contradiction.Unit)
			words, why, _ := strings.Cut(row.problem, ": ")
			require.Equal(t, why, contradiction.Problem)
			text := o.Unit.String() + ": " + words
			if row.shown != "" {
				text += " contradicts " + row.shown
			}
			text += ": " + why
			require.EqualError(t, err, text)
			require.Equal(t, row.hint, hintOf(err))
		})
	}
}

// One stem lives, of the other it is only known that it was not dead.
func TestALivingStemAndOneThatIsNotDead(t *testing.T) {
	b := batch(t, 2, 0)
	c := entered(t, b, line{part: 1, day: 3, Counts: alive(1)}, line{part: 2, day: 3, Counts: dead(0)})
	_, err := c.With(line{part: 0, day: 1, Counts: dead(1)}.entry(t, b))
	require.EqualError(t, err, b.Code.String()+": 1 dead contradicts entry 2 of 2026-11-28, stem 2 (0 dead): dead plants cannot come back")
}

func TestCorrections(t *testing.T) {
	b := batch(t, 40, 20)
	for _, row := range []struct {
		reason      string
		lines       []line
		alive       int // of the first tray
		correctedBy []int
		days        []int // on which the entries were seen
		withdrawn   []int // entries
	}{
		{"a correction takes the place and the day", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 1, Counts: alive(19)}}, 19, []int{2, 0}, []int{3, 3}, nil},
		{"it may have another day", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: 5, corrects: 1, Counts: alive(19)}}, 19, []int{2, 0}, []int{3, 5}, nil},
		{"it may be of another unit", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -2, day: -1, corrects: 1, Counts: alive(9)}}, 20, []int{2, 0}, []int{3, 3}, nil},
		{"a correction is corrected", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 1, Counts: alive(19)}, {part: -1, day: -1, corrects: 2, Counts: alive(18)}}, 18, []int{2, 3, 0}, []int{3, 3, 3}, nil},
		{"withdrawn", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 1}}, 20, []int{2, 0}, []int{3, 3}, []int{1}},
		{"a correction is withdrawn, and what it corrected stays so", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 1, Counts: alive(19)}, {part: 0, day: -1, corrects: 2}}, 20, []int{2, 3, 0}, []int{3, 3, 3}, []int{2}},
		{"a note takes the place of a count", []line{{part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 1, note: "x"}}, 20, []int{2, 0}, []int{3, 3}, nil},
		{"others stand", []line{{part: -1, day: 1, Moves: sold(2)}, {part: -1, day: 3, Counts: alive(9)}, {part: -1, day: -1, corrects: 2}}, 18, []int{0, 3, 0}, []int{1, 3, 3}, []int{2}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			c := entered(t, b, row.lines...)
			require.Equal(t, row.alive, c.Tally(trayOf(t, b, 1)).Alive)
			var correctedBy, days, withdrawn []int
			for _, entry := range c.Entries(b.Code) {
				correctedBy = append(correctedBy, entry.CorrectedBy)
				if entry.Undone {
					withdrawn = append(withdrawn, entry.Number)
				}
				days = append(days, b.DaysSince(entry.At))
			}
			require.Equal(t, row.correctedBy, correctedBy)
			require.Equal(t, row.days, days)
			require.Equal(t, row.withdrawn, withdrawn)
		})
	}
}

func TestCorrectionsThatAreRefused(t *testing.T) {
	b := batch(t, 40, 20)
	lines := []line{{part: -1, day: 1, Counts: alive(9)}, {part: -1, day: -1, corrects: 1, Counts: alive(12)}, {part: -1, day: 2, Moves: sold(12)}, {part: 5, day: 2, note: "x"}, {part: 5, day: -1, corrects: 4}}
	for _, row := range []struct {
		reason        string
		last          line
		problem, hint string
	}{
		{"no such entry", line{part: -1, corrects: 9, note: "x"}, "batch 26329-004 has no entry 9", "slipread history CODE lists the entries with their numbers"},
		{"a number below one", line{part: -1, corrects: -1, note: "x"}, "batch 26329-004 has no entry -1", "slipread history CODE lists the entries with their numbers"},
		{"corrected already", line{part: -1, corrects: 1, note: "x"}, "entry 1 was already corrected by entry 2", "correct entry 2 instead"},
		{"undone already", line{part: 5, corrects: 4, note: "x"}, "entry 4 was already undone by entry 5", "make a new entry instead"},
		{"an undo", line{part: 5, corrects: 5}, "entry 5 only undoes another entry", "make a new entry instead"},
		{"it is at odds with a later one", line{part: -1, day: -1, corrects: 2, Counts: alive(11)},
			"11 alive; in place of entry 2 contradicts entry 3 of 2026-11-27, tray 1 (12 sold): 9 dead and 12 gone make more than the 20 there were", orEntry("3")},
	} {
		t.Run(row.reason, func(t *testing.T) {
			o := row.last.entry(t, b)
			_, err := entered(t, b, lines...).With(o)
			require.EqualError(t, err, o.Unit.String()+": "+row.problem)
			require.Equal(t, row.hint, hintOf(err))
		})
	}
}

// A correction may say what the corrected entry, and it alone, was at odds with.
func TestACorrectionIsHeldAgainstTheOthersOnly(t *testing.T) {
	b := batch(t, 40, 20)
	c := entered(t, b, line{part: -1, day: 1, Counts: alive(9)})
	_, err := c.With(line{part: -1, day: -1, corrects: 1, Counts: alive(20)}.entry(t, b))
	require.NoError(t, err)
	was := c.Tally(b.Code)
	_, err = c.With(line{part: -1, day: 2, Counts: alive(10)}.entry(t, b))
	require.Error(t, err)
	require.Equal(t, was, c.Tally(b.Code), "the history itself is not changed")
}

// Of entries of one time, a correction takes the place of what it corrects, or, where
// that contradicts the others, the place in which it was entered.
func TestCorrectionAmongEntriesOfOneTime(t *testing.T) {
	b := batch(t, 40, 20)
	growing := func(n int) records.Counts { return records.Counts{Growing: records.Said(n)} }
	for _, row := range []struct {
		reason         string
		first, second  records.Counts
		others         []line
		corrects       int
		correction     records.Counts
		alive, growing int    // of the tray; with the correction
		refused        string // why
	}{
		{"more than the entry after it", alive(18), alive(17), nil, 1, alive(19), 17, 0, ""},
		{"fewer than the entry after it", alive(18), alive(17), nil, 1, alive(16), 16, 0, ""},
		{"the later count stands", growing(5), growing(8), nil, 1, growing(6), 20, 8, ""},
		{"corrected again", alive(18), alive(17), []line{{part: -1, day: -1, corrects: 1, Counts: alive(19)}}, 3, alive(20), 17, 0, ""},
		{"a later day allows neither place", alive(18), alive(17), []line{{part: -1, day: 4, Counts: alive(17)}}, 1, alive(16), 0, 0, "dead plants cannot come back"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			lines := append([]line{{part: -1, day: 3, Counts: row.first}, {part: -1, day: 3, Counts: row.second}}, row.others...)
			c, err := entered(t, b, lines...).With(line{part: -1, day: -1, corrects: row.corrects, Counts: row.correction}.entry(t, b))
			if row.refused != "" {
				require.ErrorContains(t, err, row.refused)
				return
			}
			require.NoError(t, err)
			tally := c.Tally(trayOf(t, b, 1))
			require.Equal(t, [2]int{row.alive, row.growing}, [2]int{tally.Alive, tally.Growing})
		})
	}
}
