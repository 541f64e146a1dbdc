package labels_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

func sessionDay() time.Time { return time.Date(2027, time.January, 12, 0, 0, 0, 0, time.UTC) }

func sessionOptions(t testing.TB) labels.SessionOptions {
	t.Helper()
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	stems, err := layouts.Lookup("letter-2x10")
	require.NoError(t, err)
	trays, err := layouts.Lookup("card-4x6in")
	require.NoError(t, err)
	return labels.SessionOptions{
		Options: labels.Options{Face: face, Nursery: "Saltmarsh Grafts", Stock: stems}, Paper: layouts.A4, Trays: trays,
	}
}

func batch(row int, variety, stock string, grafts int) labels.SessionBatch {
	return labels.SessionBatch{Wood: (grafts + 19) / 20, Spares: 2, Draft: records.Draft{
		Row: row, Date: sessionDay(), Variety: variety, Stock: stock, Grafts: grafts, TraySize: 30, Stem: 7,
	}}
}

// said are all texts of a page, from the top down and then from the left.
func said(page labels.Design) []string {
	texts := slices.Clone(page.Texts)
	slices.SortStableFunc(texts, func(a, b labels.Text) int {
		if a.Y != b.Y {
			return int(1000 * (a.Y - b.Y))
		}
		return int(1000 * (a.X - b.X))
	})
	var all []string
	for _, text := range texts {
		all = append(all, strings.ReplaceAll(text.String, "\u00a0", " "))
	}
	return all
}

func TestSessionSheet(t *testing.T) {
	full := batch(5, "Quiet Semaphore", "Thistledown Rootling", 64)
	full.Source, full.Grafter, full.Wrap, full.Note = "Row 4", "LM", layouts.Band, "two eyes"
	thick := batch(3, "Ochre Parasol", "THISTLEDOWN ROOTLING", 20)
	thick.Stem = 8.5
	pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{
		full, batch(2, "Copper Thimble", "Rosa vadosa", 30), thick,
	}}, sessionOptions(t))
	require.NoError(t, err)
	require.Len(t, pages, 1)
	text := strings.Join(said(pages[0]), "\n")
	for _, row := range []struct{ reason, text string }{
		{"whose", "Saltmarsh Grafts"},
		{"when", "Tuesday 2027-01-12"},
		{"how much", "Batches: 3   Grafts: 114   Trays: 5"},
		{"page", "Page 1 of 1"},
		{"a botanical name stands as it does on labels", "On Rosa vadosa"},
		{"cuttings of one batch, with a twentieth to spare", "Stock cuttings to take: 32 (spare: 2), 7 mm thick"},
		{"cuttings of a stock's batches together, from thin to thick", "Stock cuttings to take: 89 (spare: 5), 7 mm to\nOn ‘THISTLEDOWN ROOTLING’\n8.5 mm thick"},
		{"a batch's scions, grafts and stem", "‘Quiet Semaphore’\n68\n64\n7 mm"},
		{"full trays", "2 × 30"},
		{"the tray that is part full", "1 × 4"},
		{"where from, by whom, which label, note", "Scions from: Row 4 · By: LM · Label: band · two eyes"},
		{"labels and sheets to load", "Stem labels: 120 (spare: 6); sheets of\n"},
		{"cards to load", "Tray cards: 5; sheets of card-4x6in: 5"},
		{"trays", "Trays: 5 (5 × 30)"},
	} {
		require.Contains(t, text, row.text, row.reason)
	}
	for _, word := range []string{"Medium:", "Tape, rubber:", "Rooting compound:", "Notes"} {
		require.Contains(t, text, word, "room for the pen")
	}
	at := func(name string) int { return strings.Index(text, name) }
	require.Less(t, at("On Rosa vadosa"), at("On ‘THISTLEDOWN ROOTLING’"), "stocks by name")
	require.Less(t, at("‘Ochre Parasol’"), at("‘Quiet Semaphore’"), "varieties by name within a stock, whatever the row and letter case")
	require.Equal(t, 1, strings.Count(strings.ToLower(text), "on ‘thistledown rootling’"), "names that differ in letter case are one stock")
}

// The cautions stand on every sheet, with what they warn of.
func TestSessionCautions(t *testing.T) {
	o := sessionOptions(t)
	pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{batch(2, "A", "B", 1)}}, o)
	require.NoError(t, err)
	text := strings.ReplaceAll(strings.Join(said(pages[0]), " "), "Tape, rubber: ", "") // which stands beside a caution
	for _, about := range []string{labels.KnifeCaution, "Rooting compound: " + labels.CompoundCaution, labels.GirdlingCaution, labels.MainsCaution,
		labels.ProtectedCaution, labels.LeavingCaution, "Clean the blades", "never let them dry"} {
		require.Contains(t, text, about)
	}
}

func TestSessionWood(t *testing.T) {
	none := batch(2, "A", "B", 40)
	none.Wood, none.Spares, none.Stem, none.TraySize = 0, 0, 0, 0
	o := sessionOptions(t)
	var err error
	o.Stock, err = layouts.Lookup("strip-30x180")
	require.NoError(t, err)
	pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{none}}, o)
	require.NoError(t, err)
	text := strings.Join(said(pages[0]), "\n")
	require.Contains(t, text, "Stock cuttings to take: 40 (spare: 0)\n", "no thickness that nobody gave")
	require.Contains(t, text, "tape\n1\n‘A’\n40\n40\nrubber", "one tray of a size that nobody gave")
	require.Contains(t, text, "Stem labels: 40 (spare: 0); from the roll\n", "a roll has no sheets")
	require.Contains(t, text, "\nstrip-30x180: 40\n")
	require.Contains(t, text, "Trays: 1\n")
}

// Whatever the number and length of names: each batch stands once, under the name
// of its stock, whole, and nothing lies on anything else or out of reach.
func TestSessionPages(t *testing.T) {
	var batches []labels.SessionBatch
	words := strings.Fields("Quiet Semaphore Ochre Parasol Tidal Ledger Fennel Observatory Copper Thimble")
	names := map[string]bool{}
	for i := range 75 {
		variety := fmt.Sprintf("%s No %d", strings.Join(words[i%7:i%7+1+i%3], " "), i)
		if i%10 == 0 {
			variety = fmt.Sprintf("%02d %s", i, strings.Repeat("Long ", 11))[:57]
			variety = strings.TrimSpace(variety)
		}
		b := batch(i+2, variety, []string{"Brackenfold", "Rosa vadosa", "A Long Stock Name that Takes All of the Sixty Letters, Nearly"[:60]}[i%3], 1+i*119)
		if i%4 == 0 {
			b.Note = strings.TrimSpace(strings.Repeat("of wood cut late ", 7))
			b.Source = "Exchange 2026-07 with the garden at the far end of the valley"
		}
		if i%9 == 0 {
			b.Note = strings.Repeat("n", 120)
		}
		batches = append(batches, b)
		names[records.Quoted(variety)] = true
	}
	for _, paper := range []layouts.Paper{layouts.A4, layouts.Letter} {
		o := sessionOptions(t)
		o.Paper, o.Nursery = paper, "A Nursery of a Name that Takes Sixty Letters, as Many as May"
		pages, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: batches}, o)
		require.NoError(t, err)
		require.Greater(t, len(pages), 3)
		size := paper.Size()
		reach := layouts.Rect{Width: size.Width, Height: size.Height}.Inset(layouts.Unprintable, layouts.Unprintable, layouts.Unprintable, layouts.Unprintable)
		rows := 0
		whole := ""
		for n, page := range pages {
			texts := said(page)
			require.Contains(t, texts, fmt.Sprintf("Page %d of %d", n+1, len(pages)))
			if table := slices.Contains(texts, "Scions"); table {
				at := slices.IndexFunc(texts, func(s string) bool { return strings.HasPrefix(s, "On ") })
				require.NotEqual(t, -1, at, "a page of rows begins with their stock")
				first := slices.Index(texts, "tape")
				require.True(t, first == -1 || at < first, "before any row")
			}
			rows += len(slices.DeleteFunc(slices.Clone(texts), func(s string) bool { return s != "tape" }))
			whole += " " + strings.Join(texts, " ")
			requireApart(t, page, reach)
		}
		require.Equal(t, len(batches), rows, "each batch once")
		require.Equal(t, 1, strings.Count(whole, "Take care"))
		require.Equal(t, 1, strings.Count(whole, "Notes"))
		for name := range names {
			for _, word := range strings.Fields(name) {
				require.Contains(t, whole, word, "names are never cut")
			}
		}
	}
}

// requireApart: no text lies on another or on a line, and all is in reach.
func requireApart(t *testing.T, page labels.Design, reach layouts.Rect) {
	t.Helper()
	for i, text := range page.Texts {
		require.True(t, reach.Contains(text.Ink), "%q is out of reach", text.String)
		require.GreaterOrEqual(t, text.Size, labels.LeastSize, text.String)
		for _, other := range page.Texts[:i] {
			shared := text.Ink.Intersect(other.Ink)
			require.Zero(t, shared.Width*shared.Height, "%q on %q", text.String, other.String)
		}
		for _, line := range page.Lines {
			half := line.Thickness / 2
			stroke := layouts.Rect{X: line.FromX - half, Y: line.FromY - half, Width: line.ToX - line.FromX + 2*half, Height: line.ToY - line.FromY + 2*half}
			if line.ToX < line.FromX || line.ToY < line.FromY {
				stroke = layouts.Rect{X: line.ToX - half, Y: line.ToY - half, Width: line.FromX - line.ToX + 2*half, Height: line.FromY - line.ToY + 2*half}
			}
			require.True(t, reach.Contains(stroke), "a line is out of reach")
			shared := text.Ink.Intersect(stroke)
			require.Zero(t, shared.Width*shared.Height, "a line through %q", text.String)
		}
	}
}

// What cannot be set is told of its row and column, all at once.
func TestSessionFaults(t *testing.T) {
	wide := batch(7, strings.Repeat("W", 60), "B", 1)
	noGlyph := batch(4, "Quiet 紅", "B", 1)
	noScript := batch(5, "A", "שדה", 1)
	noted := batch(6, "A", "B", 1)
	noted.Note = "ক"
	o := sessionOptions(t)
	_, err := labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{noGlyph, noScript, noted}}, o)
	require.Equal(t, []labels.Where{{Row: 4, Column: "variety"}, {Row: 5, Column: "stock"}, {Row: 6, Column: "note"}}, wheres(t, err, labels.NoCharacter))
	require.Contains(t, err.Error(), "row 6, note:")

	_, err = labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{wide}}, o)
	require.Equal(t, []labels.Where{{Row: 7, Column: "variety"}}, wheres(t, err, labels.NoRoom), "refused rather than cut")
	require.ErrorContains(t, err, strings.Repeat("W", 60))

	o.Nursery = "紅"
	_, err = labels.DesignSession(labels.Session{Date: sessionDay(), Batches: []labels.SessionBatch{batch(2, "A", "B", 1)}}, o)
	require.ErrorContains(t, err, "nursery: ")
}

// wheres are the cells of joined errors, all of one code.
func wheres(t *testing.T, err error, code labels.Code) []labels.Where {
	t.Helper()
	joined, ok := err.(interface{ Unwrap() []error })
	require.True(t, ok, "%v", err)
	var all []labels.Where
	for _, each := range joined.Unwrap() {
		var fault *labels.Error
		require.ErrorAs(t, each, &fault)
		require.Equal(t, code, fault.Code, "%v", each)
		all = append(all, fault.Where)
	}
	return all
}

func TestCompareWork(t *testing.T) {
	draft := func(row, day int, stock, variety, source string) records.Draft {
		return records.Draft{Row: row, Date: sessionDay().AddDate(0, 0, day), Stock: stock, Variety: variety, Source: source}
	}
	want := []records.Draft{
		draft(9, 0, "Z", "Z", "z"), // the day comes first
		draft(8, 1, "a", "Z", "z"), // then the stock, in any letter case
		draft(7, 1, "B", "A", "z"), // then the variety
		draft(6, 1, "b", "a", "zz"),
		draft(4, 1, "B", "c", "a"), // then the source
		draft(2, 1, "B", "C", "b"), // then the row
		draft(3, 1, "B", "C", "b"),
	}
	got := slices.Clone(want)
	slices.Reverse(got)
	slices.SortStableFunc(got, labels.CompareWork)
	require.Equal(t, want, got)
}
