package proof_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/records"
)

// TestCardTexts changes one text of a tray card after the other. The card holds
// a single stem, the last of its batch.
func TestCardTexts(t *testing.T) {
	r := renderer(t)
	for _, test := range []struct {
		reason    string
		words, by string
		says      string // "" when nothing is wrong
	}{
		{"as it must be", "Tray", "Tray", ""},
		{"another tray", "Tray 3 of 3", "Tray 2 of 3", `the tray of this code is "Tray 3 of 3", but that is not printed`},
		{"more trays", "Tray 3 of 3", "Tray 3 of 30", `the tray of this code is "Tray 3 of 3"`},
		{"other stems", "stem 41", "stem 4", `the contents of this code is "stem 41"`},
		{"another graft date", "Grafted 2026-11-25", "Grafted 2026-11-26", `the graft date of this code is "Grafted 2026-11-25 by IV"`},
		{"another grafter", "by IV", "by VI", `the graft date of this code is "Grafted 2026-11-25 by IV"`},
		{"the date as day of the year", "2026-11-25", "2026-329", ""},
		{"another day to look from", "2026-12-16", "2026-12-19", `this card does not show "Check for new growth from 2026-12-16"`},
		{"the day of other settings", "2026-12-16", "2026-12-23", "2026-12-16\", which the settings now give; if [days] has changed since it was printed, print it again or restore [days]"},
		{"that day as a week", "2026-12-16", "2026-W51-3", ""},
	} {
		s := newSession(t, "card-4x6in", damageDPI)
		s.batches = []records.Batch{s.batches[0]}
		s.batches[0].Grafts = 41
		design, err := labels.DesignTray(s.batches[0], s.options)
		require.NoError(t, err)
		slip, err := design.Card(3)
		require.NoError(t, err)
		reworded(t, &slip, test.words, test.by)
		report := s.prove(t, r, s.write(t, []labels.Design{slip}))
		if test.says == "" {
			require.Empty(t, report.Faults, test.reason)
			continue
		}
		require.Len(t, report.Faults, 1, test.reason)
		require.ErrorContains(t, &report.Faults[0], test.says, test.reason)
	}
}

// A card is proved with the days with which it was made. With others the fault
// says what may have changed; of another phrase it does not.
func TestCardTextsOfOwnDays(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "card-4x6in", damageDPI)
	s.options.Calendar = records.Calendar{All: records.Days{Look: 20}, Stocks: map[string]records.Days{"Marlpit Hedge": {Look: 28}}}
	slips := s.slips(t)
	check := s.check()
	check.Calendar = s.options.Calendar
	proved := func(file []byte) []string {
		report, err := check.File(t.Context(), r, file, nil)
		require.NoError(t, err)
		var said []string
		for i := range report.Faults {
			said = append(said, report.Faults[i].Text)
		}
		return said
	}
	require.Empty(t, proved(s.write(t, slips)))

	check.Calendar.Stocks = nil
	const changed = `this card does not show "Check for new growth from 2026-12-15", which the settings now give; if [days] has changed since it was printed, print it again or restore [days]`
	require.Equal(t, []string{changed, changed}, proved(s.write(t, slips)), "the cards on that stock alone, of which there are two")

	check.Calendar = s.options.Calendar
	reworded(t, &slips[0], "Tray 1 of 2", "Tray 2 of 2")
	require.Equal(t, []string{`the tray of this code is "Tray 1 of 2", but that is not printed`}, proved(s.write(t, slips)))
}
