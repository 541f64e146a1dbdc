package command

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// settingsWith names a settings file with a text and returns its path.
func settingsWith(t *testing.T, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "settings.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	t.Setenv(SettingsVariable, path)
	return path
}

const ownDays = `dpi = 300
[days]
look = 20
question = 999
[days.stock."Marlpit Hedge"]
look = 28
harden = 1
[days.variety."Amber  Weathercock "]
flush = 70
[days.variety."Zo\u0065\u0308"]
again = 5
`

func TestCalendar(t *testing.T) {
	for _, row := range []struct {
		reason, file, variety, stock string
		want                         records.Days
	}{
		{"nothing is set", "dpi = 300", "Tin Drummer", "Anchor", records.UsualDays()},
		{"a table with nothing in it", "[days]\n[days.stock]\n[days.variety.\"Tin Drummer\"]", "Tin Drummer", "Anchor", records.UsualDays()},
		{"those of all", ownDays, "Tin Drummer", "Anchor", records.Days{Look: 20, Again: 7, Harden: 14, Flush: 84, Question: 999}},
		{"those of a stock, in other letters", ownDays, "Tin Drummer", "marlpit HEDGE", records.Days{Look: 28, Again: 7, Harden: 1, Flush: 84, Question: 999}},
		{"those of a variety, with spaces that a manifest would not keep", ownDays, "Amber Weathercock", "Anchor", records.Days{Look: 20, Again: 7, Harden: 14, Flush: 70, Question: 999}},
		{"those of both", ownDays, "Amber Weathercock", "Marlpit Hedge", records.Days{Look: 28, Again: 7, Harden: 1, Flush: 70, Question: 999}},
		{"an accent that is written as a character of its own", ownDays, "Zo\u00eb", "Anchor", records.Days{Look: 20, Again: 5, Harden: 14, Flush: 84, Question: 999}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			settingsWith(t, row.file)
			calendar, err := LoadCalendar()
			require.NoError(t, err)
			require.Equal(t, row.want, calendar.For(row.variety, row.stock))
		})
	}
}

func TestCalendarWithFaults(t *testing.T) {
	for _, row := range []struct{ reason, file, want, advice string }{
		{"days that are no table", "days = 21", "days must be a table: [days]", "days are look, again, harden, flush, question, in the tables [days]"},
		{"days that there are not", "[days]\nlooks = 21", `there is no setting "days.looks"`, "days are look, again"},
		{"a name without its kind", "[days.\"Marlpit Hedge\"]\nlook = 28", `there is no setting "days.Marlpit Hedge"`, `[days.stock."Marlpit Hedge"]`},
		{"no day", "[days]\nlook = 0", "days.look = 0: days must be from 1 to 999", "change the value"},
		{"days before the graft", "[days]\nflush = -1", "days.flush = -1: days must be from 1 to 999", "change the value"},
		{"years", "[days]\nlook = 1000", "days.look = 1000: days must be from 1 to 999", "change the value"},
		{"half a day", "[days]\nlook = 21.5", "days.look must be a whole number", "look = 21, without"},
		{"a number in quotation marks", "[days]\nagain = \"7\"", "days.again must be a whole number", "again = 7, without quotation marks"},
		{"a table in place of days", "[days.look]\nstock = 21", "days.look must be a whole number", "look = 21"},
		{"stocks that are no table", "[days]\nstock = 28", "days.stock must be tables, such as [days.stock.", `[days.stock."Marlpit Hedge"]`},
		{"a stock that is no table", "[days.stock]\n\"Old Gate\" = 28", `days.stock."Old Gate" must be a table`, `[days.stock."Marlpit Hedge"]`},
		{"a wrong number for a stock", "[days.stock.\"Old Gate\"]\nlook = 1000", `days.stock."Old Gate".look = 1000: days`, "change the value"},
		{"days that a variety does not have", "[days.variety.\"Tin Drummer\"]\nstock = 3", `there is no setting "days.variety.\"Tin Drummer\".stock"`, "days are look"},
		{"no name", "[days.stock.\"\"]\nlook = 28", `days.stock."" has an empty name`, "days are look"},
		{"a name of spaces", "[days.variety.\"  \"]\nlook = 28", `days.variety."  " has an empty name`, "days are look"},
		{"a stock in two letter cases", "[days.stock.\"Old Gate\"]\nlook = 28\n[days.stock.\"old gate\"]\nlook = 30", `days.stock."Old Gate" and days.stock."old gate" are the same name`, "merge the two tables"},
		{"a variety with another space", "[days.variety.\"Tin  Drummer\"]\n[days.variety.\"tin drummer\"]", `days.variety."Tin Drummer" and days.variety."tin drummer" are the same name`, "merge the two tables"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			path := settingsWith(t, row.file)
			_, err := LoadCalendar()
			require.ErrorContains(t, err, "settings "+path+": "+row.want)
			var fault *records.Problem
			require.ErrorAs(t, err, &fault)
			require.Contains(t, fault.Hint(), row.advice)
		})
	}
	t.Run("one name for a stock and a variety", func(t *testing.T) {
		settingsWith(t, "[days.stock.Anchor]\nlook = 28\n[days.variety.anchor]\nlook = 30")
		calendar, err := LoadCalendar()
		require.NoError(t, err, "a rootstock may be grafted itself")
		require.Equal(t, 30, calendar.For("Anchor", "Anchor").Look)
	})
}

func TestDaysAreListed(t *testing.T) {
	settingsWith(t, ownDays)
	settings, err := LoadSettings()
	require.NoError(t, err)
	require.Equal(t, []DaySetting{
		{"days.look", 20, true}, {"days.again", 7, false}, {"days.harden", 14, false}, {"days.flush", 84, false}, {"days.question", 999, true},
		{`days.stock."Marlpit Hedge".look`, 28, true}, {`days.stock."Marlpit Hedge".harden`, 1, true},
		{`days.variety."Amber Weathercock".flush`, 70, true}, {`days.variety."Zoë".again`, 5, true},
	}, settings.Days())
}
