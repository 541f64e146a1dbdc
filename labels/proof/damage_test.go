package proof_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/labels/proof"
	"graftslip/layouts"
	"graftslip/records"
)

const damageDPI = 203

// reworded replaces words in the texts of a slip.
func reworded(t *testing.T, slip *labels.Design, words, by string) {
	t.Helper()
	found := false
	for i := range slip.Texts {
		found = found || strings.Contains(slip.Texts[i].String, words)
		slip.Texts[i].String = strings.ReplaceAll(slip.Texts[i].String, words, by)
	}
	require.True(t, found, "%q stands on the slip", words)
}

// resymbolled gives a slip's symbol another text, in the room that it has.
func resymbolled(t *testing.T, slip *labels.Design, text string) {
	t.Helper()
	modules, err := symbol.Encode(symbol.QR, text)
	require.NoError(t, err)
	s := &slip.Symbols[0]
	s.Fitted, err = modules.Fit(symbol.Room{Width: s.Place.Width, Height: s.Place.Height}, damageDPI, 0)
	require.NoError(t, err)
	s.Text, s.Place.Width, s.Place.Height = text, s.Width, s.Height
}

// TestDamagedSlips prints six labels on a sheet, spoils one or two of them, and
// looks for what the proof says about them.
func TestDamagedSlips(t *testing.T) {
	r := renderer(t)
	type expected struct {
		kind  proof.Kind
		place int
		says  string
	}
	const first, second, third = "26329-001-0001-95", "26329-001-0002-92", "26329-001-0003-89"
	for _, test := range []struct {
		reason string
		damage func(t *testing.T, s *session, slips []labels.Design)
		want   []expected
	}{
		{"a bar printed over a symbol", func(_ *testing.T, _ *session, slips []labels.Design) {
			at := slips[1].Symbols[0].Place
			slips[1].Lines = append(slips[1].Lines, labels.Line{FromX: at.X + 3, FromY: at.Y + at.Height/2, ToX: at.X + at.Width - 3, ToY: at.Y + at.Height/2, Thickness: 5})
		}, []expected{{proof.Missing, 2, "page 1, position 2, " + second + ": there is print, but no readable symbol"}}},
		{"a symbol left out", func(_ *testing.T, _ *session, slips []labels.Design) { slips[0].Symbols = nil },
			[]expected{{proof.Missing, 1, "no readable symbol"}}},
		{"no text beside the symbol", func(_ *testing.T, _ *session, slips []labels.Design) { slips[2].Texts = nil },
			[]expected{{proof.Wrong, 3, "page 1, position 3, " + third + ": the symbol's code is not printed"}}},
		{"a symbol moved over the edge", func(_ *testing.T, _ *session, slips []labels.Design) { slips[1].Symbols[0].Place.Y -= 9 },
			[]expected{{proof.Wrong, 2, "the symbol runs over the edge"}, {proof.Edge, 2, "ink reaches the upper edge"}, {proof.Outside, 0, "there is ink outside the labels"}}},
		{"the codes of two labels exchanged", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[1], "0002-92", "0003-89")
			reworded(t, &slips[2], "0003-89", "0002-92")
		}, []expected{
			{proof.Wrong, 2, second + ": the symbol has this code, but " + third + " is printed beside it"},
			{proof.Wrong, 3, third + ": the symbol has this code, but " + second + " is printed beside it"},
		}},
		{"the symbols of two labels exchanged", func(_ *testing.T, _ *session, slips []labels.Design) {
			slips[0].Symbols, slips[1].Symbols = slips[1].Symbols, slips[0].Symbols
		}, []expected{{proof.Wrong, 1, first + " is printed beside it"}, {proof.Wrong, 2, second + " is printed beside it"}}},
		{"the variety of another batch", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[2], "Amber", "Velvet")
		}, []expected{{proof.Wrong, 3, "the variety of this code is ‘Amber Weathercock’, but that is not printed"}}},
		{"a stock with a letter less", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[2], "Hedge", "Hedg")
		}, []expected{{proof.Wrong, 3, "the stock of this code is ‘Marlpit Hedge’"}}},
		{"a name with a word too many", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[5], "Rosa multiflora", "Rosa multiflora inermis")
		}, []expected{{proof.Wrong, 6, "the stock of this code is Rosa multiflora"}}},
		{"the number of another stem", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[2], "3 of 40", "13 of 40")
		}, []expected{{proof.Wrong, 3, `the number of this code is "3 of 40", but that is not printed`}}},
		{"of another number of stems", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[2], "3 of 40", "3 of 400")
		}, []expected{{proof.Wrong, 3, `the number of this code is "3 of 40"`}}},
		{"a spare label's word where there is a number", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[0], "1 of 40", "spare")
		}, []expected{{proof.Wrong, 1, `the number of this code is "1 of 40"`}}},
		{"the graft date of the day before", func(t *testing.T, _ *session, slips []labels.Design) {
			reworded(t, &slips[4], "2026-11-25", "2026-11-24")
		}, []expected{{proof.Wrong, 5, `the graft date of this code is "2026-11-25", but that is not printed`}}},
		{"a label printed twice", func(_ *testing.T, _ *session, slips []labels.Design) { slips[4] = slips[1] },
			[]expected{{proof.Wrong, 5, "page 1, position 5, " + second + ": the same code is on page 1, position 2"}}},
		{"text 1 mm from the edge", func(_ *testing.T, _ *session, slips []labels.Design) {
			text := &slips[3].Texts[0]
			text.X -= text.Ink.X - 1
		}, []expected{{proof.Edge, 4, "mm from the left edge; the minimum is 1.5 mm"}}},
		{"a symbol printed twice", func(_ *testing.T, _ *session, slips []labels.Design) {
			again := slips[1].Symbols[0]
			again.Place.X = 3
			again.Place.Y = 25.4 - 1 - again.Place.Height
			slips[1].Texts = slips[1].Texts[len(slips[1].Texts)-1:]
			slips[1].Symbols = append(slips[1].Symbols, again)
		}, []expected{{proof.Wrong, 2, `there is more than one symbol: "26329001000292", "26329001000292"`}}},
		{"a code that was never given", func(t *testing.T, s *session, _ []labels.Design) {
			var err error
			s.lost, err = codes.Parse(third)
			require.NoError(t, err)
		},
			[]expected{{proof.Wrong, 3, "page 1, position 3, " + third + ": the symbol's code is not in the ledger"}}},
		{"a symbol without a code", func(t *testing.T, _ *session, slips []labels.Design) { resymbolled(t, &slips[0], "26329001000194") },
			[]expected{{proof.Wrong, 1, `the symbol holds "26329001000194", which is not a valid code`}}},
		{"a symbol moved above the labels", func(_ *testing.T, _ *session, slips []labels.Design) {
			slips[0].Symbols[0].Place.Y = -(12.7 + slips[0].Symbols[0].Place.Height) / 2
		}, []expected{
			{proof.Outside, 0, `the symbol of "26329001000195" lies outside the labels`}, {proof.Missing, 1, "no readable symbol"},
			{proof.Outside, 0, "there is ink outside the labels"},
		}},
		{"a line beside the labels", func(_ *testing.T, _ *session, slips []labels.Design) {
			slips[0].Lines = append(slips[0].Lines, labels.Line{FromX: 103, FromY: 10, ToX: 103, ToY: 12, Thickness: 0.5})
		}, []expected{{proof.Outside, 0, "there is ink outside the labels, from 107.5 mm to 108 mm from the left"}}},
	} {
		t.Run(test.reason, func(t *testing.T) {
			t.Parallel()
			s := newSession(t, "letter-2x10", damageDPI)
			s.each = 3
			slips := s.slips(t)
			test.damage(t, s, slips)
			report := s.prove(t, r, s.write(t, slips))
			var got []expected
			wrong, missing := 0, 0
			for i, fault := range report.Faults {
				if i < len(test.want) {
					require.Contains(t, fault.Error(), test.want[i].says)
				}
				require.NotEmpty(t, fault.Hint())
				require.Equal(t, 1, fault.Page)
				got = append(got, expected{fault.Kind, fault.Position, ""})
				switch fault.Kind {
				case proof.Wrong:
					wrong++
				case proof.Missing:
					missing++
				}
			}
			for i := range test.want {
				test.want[i].says = ""
			}
			require.Equal(t, test.want, got)
			require.Equal(t, wrong, report.Wrong)
			require.Equal(t, missing, report.Missing)
			require.Equal(t, 6, report.Symbols)
			require.Equal(t, 6-wrong-missing, report.Read)
		})
	}
}

// TestAnotherPaper: a file whose page is not of the size that it tells.
func TestAnotherPaper(t *testing.T) {
	s := newSession(t, "letter-2x10", 203)
	file := bytes.Replace(s.write(t, s.slips(t)), []byte("stock=letter-2x10"), []byte("stock=card-140x80"), 1)
	report := s.prove(t, renderer(t), file)
	require.NotEmpty(t, report.Faults)
	require.Equal(t, proof.Paper, report.Faults[0].Kind)
	require.Equal(t, "page 1: the page measures 216 × 279.5 mm, but the paper of card-140x80 measures 140 × 80 mm", report.Faults[0].Error())
}

// TestCardsWithRecords puts records and links into the symbols of cards.
func TestCardsWithRecords(t *testing.T) {
	r := renderer(t)
	for _, test := range []struct {
		reason string
		text   func(records.Record) string
		says   string // "" when nothing is wrong
	}{
		{"the record of the ledger", records.Line, ""},
		{"a link", func(r records.Record) string { return "HTTPS://SLIPS.EXAMPLE:8417/" + r.Code.Compact() }, ""},
		{"stem and wrap, of which the ledger has nothing", func(r records.Record) string {
			r.Batch.Stem, r.Batch.Wrap = 7, layouts.Loop
			return records.Line(r)
		}, "differs from the ledger in: stem, label wrap"},
		{"another source and note", func(r records.Record) string {
			r.Batch.Source, r.Batch.Note = "House bed 3", ""
			return records.Line(r)
		}, "differs from the ledger in: source, note"},
		{"more grafts and another grafter", func(r records.Record) string {
			r.Batch.Grafts, r.Batch.Grafter = 39, "MM"
			return records.Line(r)
		}, "differs from the ledger in: grafts, grafter"},
		{"a stem of which the ledger has another", func(r records.Record) string {
			r.Batch.Stem = 0
			return records.Line(r)
		}, "differs from the ledger in: stem"},
		{"a record that contradicts itself", func(r records.Record) string {
			return strings.Replace(records.Line(r), "stems 1-20", "stems 1-21", 1)
		}, "the record in the symbol cannot be read"},
	} {
		s := newSession(t, "card-4x6in", damageDPI)
		if test.says == "differs from the ledger in: stem" {
			s.batches[0].Stem = 7
		}
		slips := s.slips(t)[:1]
		code, err := s.batches[0].Code.Tray(1)
		require.NoError(t, err)
		resymbolled(t, &slips[0], test.text(records.Record{Batch: s.batches[0], Code: code}))
		report := s.prove(t, r, s.write(t, slips))
		if test.says == "" {
			require.Empty(t, report.Faults, test.reason)
			require.Equal(t, 1, report.Read)
			continue
		}
		require.Len(t, report.Faults, 1, test.reason)
		require.ErrorContains(t, &report.Faults[0], test.says)
		require.Equal(t, 1, report.Wrong)
	}
}
