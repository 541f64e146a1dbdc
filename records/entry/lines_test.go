package entry

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// observed is an entry of counts; less than nothing was not said.
func observed(alive, growing, rooted, dead int) records.Entry {
	count := func(n int) records.Count {
		if n < 0 {
			return records.Count{}
		}
		return records.Said(n)
	}
	return records.Entry{Counts: records.Counts{Alive: count(alive), Growing: count(growing), Rooted: count(rooted), Dead: count(dead)}}
}

func TestLines(t *testing.T) {
	moved := func(o records.Entry, moves records.Moves, note string) records.Entry {
		o.Moves, o.Note = moves, note
		return o
	}
	nothing := observed(-1, -1, -1, -1)
	for _, row := range []struct {
		reason string
		stem   bool
		lines  string // with / between them
		want   records.Entry
		faults []string // and what was changed
	}{
		{"a number alone is alive", false, "34", observed(34, -1, -1, -1), nil},
		{"none alive is a count", false, "0", observed(0, -1, -1, -1), nil},
		{"numbers before words", false, "34 alive 12 growing 5 rooted 2 dead", observed(34, 12, 5, 2), nil},
		{"words before numbers", false, "alive 34 growing 12 dead 2", observed(34, 12, -1, 2), nil},
		{"in any order", false, "2 dead 34 alive", observed(34, -1, -1, 2), nil},
		{"letters that touch", false, "34a 12g 5r 2d", observed(34, 12, 5, 2), nil},
		{"letters that stand apart, or before", false, "a34 g 12", observed(34, 12, -1, -1), nil},
		{"without any space", false, "34a12g2d", observed(34, 12, -1, 2), nil},
		{"capitals and punctuation, as people write", false, "34 Alive, 12 GROWING; 2 dead", observed(34, 12, -1, 2), nil},
		{"over several lines", false, "34/12 growing/2 dead", observed(34, 12, -1, 2), nil},
		{"a word scanned, then its number", false, "alive/34/dead/2", observed(34, -1, -1, 2), nil},
		{"a number scanned is alive, the word behind it begins anew", false, "34/dead/2", observed(34, -1, -1, 2), nil},
		{"the same twice", false, "34/34 alive", observed(34, -1, -1, -1), nil},
		{"what was done", false, "out-of-mist flushed/unwrapped", moved(nothing, records.Moves{OutOfMist: true, Flushed: true, TieRemoved: true}, ""), nil},
		{"as the words of an entry say it", false, "34 alive, 2 dead; out of mist; 3 sold", moved(observed(34, -1, -1, 2), records.Moves{OutOfMist: true, Sold: 3}, ""), nil},
		{"what left", false, "sold 3 planted 4/culled/5/6 unused", moved(nothing, records.Moves{Sold: 3, Planted: 4, Culled: 5, Unused: 6}, ""), nil},
		{"a note keeps its words and numbers", false, "34/note 2 dead  Leaves, soft", moved(observed(34, -1, -1, -1), records.Moves{}, "2 dead Leaves, soft"), nil},
		{"two notes", false, "note soft/NOTE wet", moved(nothing, records.Moves{}, "soft; wet"), nil},
		{"of a stem a word is one", true, "growing", observed(-1, 1, -1, -1), nil},
		{"of a stem several", true, "alive growing rooted", observed(1, 1, 1, -1), nil},
		{"of a stem with its number all the same", true, "alive 1/dead 0", observed(1, -1, -1, 0), nil},
		{"of a stem a word, then a number scanned", true, "growing/0", observed(-1, 0, -1, -1), nil},
		{"of a stem the number behind is not that it lives", true, "dead/1", observed(-1, -1, -1, 1), nil},
		{"of a stem what left", true, "sold", moved(nothing, records.Moves{Sold: 1}, ""), nil},

		{"a word that is none", false, "34/12 growng", observed(34, -1, -1, -1), []string{`"growng" is not understood`}},
		{"a line that is wrong says nothing at all", false, "34 alive 12 growing 5", nothing, []string{"5 of what?"}},
		{"two numbers", false, "34 12", nothing, []string{"34 of what?"}},
		{"a word without its number", false, "alive/flushed", moved(nothing, records.Moves{Flushed: true}, ""), []string{`"alive" has no number and was left out`}},
		{"a word without its number before a whole line", false, "alive/12 growing", observed(-1, 12, -1, -1), []string{`"alive" has no number and was left out`}},
		{"a word without its number before a note", false, "dead/note wet", moved(nothing, records.Moves{}, "wet"), []string{`"dead" has no number and was left out`}},
		{"a word without its number at the end", false, "34/dead", observed(34, -1, -1, -1), []string{`"dead" has no number and was left out`}},
		{"two words without numbers", false, "alive growing 3", nothing, []string{`"alive" has no number`}},
		{"the last number counts", false, "9/alive 8", observed(8, -1, -1, -1), []string{"alive is now 8, was 9"}},
		{"of several words, too", false, "9 alive 3 sold/8 alive 2 sold 1 dead", moved(observed(8, -1, -1, 1), records.Moves{Sold: 2}, ""), []string{"alive is now 8, was 9", "sold is now 2, was 3"}},
		{"none in place of some", false, "9/0", observed(0, -1, -1, -1), []string{"alive is now 0, was 9"}},
		{"two numbers within a line", false, "34 alive alive 35", nothing, []string{"34 alive and 35 alive on one line"}},
		{"a line with two numbers changes nothing", false, "30/34 alive alive 35", observed(30, -1, -1, -1), []string{"34 alive and 35 alive on one line"}},
		{"another number for a word that waits", false, "34/alive/35", observed(35, -1, -1, -1), []string{"alive is now 35, was 34"}},
		{"of a stem another number", true, "1/0", observed(0, -1, -1, -1), []string{"alive is now 0, was 1"}},
		{"of a stem another word", true, "growing 0/growing", observed(-1, 1, -1, -1), []string{"growing is now 1, was 0"}},
		{"more than a batch has", false, "9000", nothing, []string{"9000 is more than a batch can have"}},
		{"a sign", false, "-3", nothing, []string{`"-3" is not understood`}},
		{"a number that is no number of this world", false, "99999999999999999999 alive", nothing, []string{`"99999999999999999999" is not understood`}},
		{"a note without a text", false, "note", nothing, []string{"the note is empty"}},
		{"a note that would move the cursor", false, "note \x1b[2J", nothing, []string{"a note cannot hold control characters"}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			said := Lines{Stem: row.stem}
			var faults []string
			for line := range strings.SplitSeq(row.lines, "/") {
				next, err := said.With(line)
				if err != nil {
					faults = append(faults, err.Error())
				}
				faults = append(faults, next.Changed(said)...)
				said = next
			}
			got, err := said.Entry()
			if err != nil {
				faults = append(faults, err.Error())
			}
			require.Equal(t, row.want, got)
			require.Equal(t, row.faults, faults)
		})
	}
}

// said writes what was said in the plainest way.
func said(o records.Entry) []string {
	var lines []string
	for _, count := range []struct {
		records.Count
		word string
	}{{o.Alive, "alive"}, {o.Growing, "growing"}, {o.Rooted, "rooted"}, {o.Dead, "dead"}} {
		if _, is := count.Value(); is {
			lines = append(lines, count.String()+" "+count.word)
		}
	}
	for _, left := range []struct {
		n    int
		word string
	}{{o.Sold, "sold"}, {o.Planted, "planted"}, {o.Culled, "culled"}, {o.Unused, "unused"}} {
		if left.n > 0 {
			lines = append(lines, records.Said(left.n).String()+" "+left.word)
		}
	}
	for _, done := range []struct {
		is   bool
		word string
	}{{o.OutOfMist, "out-of-mist"}, {o.Flushed, "flushed"}, {o.TieRemoved, "tie-removed"}} {
		if done.is {
			lines = append(lines, done.word)
		}
	}
	if o.Note != "" {
		lines = append(lines, "note "+o.Note)
	}
	return lines
}

// Whatever comes, numbers are those of stems, a line that is refused changes
// nothing, and what was taken says the same when it is written plainly.
func FuzzLines(f *testing.F) {
	for _, line := range []string{"34", "34 alive 12 growing 2 dead", "alive 34", "34a12g2d", "dead", "out of mist; 3 sold", "note 3 soft, wet", "note", "-3", "a\u0301", "0x1F", "34 34", "٣ alive"} {
		f.Add(line, line == "dead")
	}
	f.Fuzz(func(t *testing.T, line string, stem bool) {
		before, err := Lines{Stem: stem}.With("1 rooted")
		require.NoError(t, err)
		after, err := before.With(line)
		if err != nil {
			require.Equal(t, before, after)
			return
		}
		got, waits := after.Entry()
		if waits != nil {
			require.True(t, after.Waiting())
		}
		for _, n := range after.numbers {
			number, _ := n.Value()
			require.GreaterOrEqual(t, number, 0)
			require.LessOrEqual(t, number, 8999)
		}
		if got.Rooted != records.Said(1) {
			require.Len(t, after.Changed(before), 1, "what was said before is not changed without a word")
		}
		again := Lines{Stem: stem}
		for _, plain := range said(got) {
			again, err = again.With(plain)
			require.NoError(t, err, plain)
		}
		repeated, err := again.Entry()
		require.NoError(t, err)
		require.Equal(t, got, repeated)
	})
}
