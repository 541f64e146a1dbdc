package command

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"graftslip/layouts"
)

// flagsWith are flags as a program has them, some of them settings.
func flagsWith(t *testing.T, args ...string) (*pflag.FlagSet, *float64, *layouts.Correction, *string) {
	t.Helper()
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	dpi, shift, ledger, printer := 300.0, layouts.Correction{}, "", ""
	flags.Var(Resolution(&dpi), "dpi", "")
	flags.Var(Shift(&shift), "shift", "")
	LedgerFlag(flags, &ledger)
	flags.StringVar(&printer, "printer", "", "")
	flags.Var(Wrap(new(layouts.Wrap)), "label-wrap", "")
	require.NoError(t, flags.Parse(args))
	return flags, &dpi, &shift, &ledger
}

func TestSettingsComeInOrder(t *testing.T) {
	const file = "dpi = 600\nledger = \"book.db\"\n[printers.office]\ndpi = 1200\nshift = \"1mm,-2mm\"\n"
	for _, row := range []struct {
		reason, environment string
		args                []string
		dpi                 float64
		shift               layouts.Correction
		origin              string
	}{
		{"the file beats what is built in", "", nil, 600, layouts.Correction{}, "settings.toml"},
		{"the environment beats the file", "203", nil, 203, layouts.Correction{}, "GRAFTSLIP_DPI"},
		{"a flag beats both", "203", []string{"--dpi", "400"}, 400, layouts.Correction{}, ""},
		{"a printer beats the file", "", []string{"--printer", "office"}, 1200, layouts.Correction{ShiftX: 1, ShiftY: -2}, "settings.toml, [printers.office]"},
		{"the environment beats a printer", "203", []string{"--printer", "office"}, 203, layouts.Correction{ShiftX: 1, ShiftY: -2}, "GRAFTSLIP_DPI"},
		{"a flag beats a printer", "", []string{"--printer", "office", "--shift", "0mm,3mm", "--dpi", "400"}, 400, layouts.Correction{ShiftX: 0, ShiftY: 3}, ""},
	} {
		t.Run(row.reason, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "settings.toml")
			require.NoError(t, os.WriteFile(path, []byte(file), 0o600))
			t.Setenv(SettingsVariable, path)
			t.Setenv("GRAFTSLIP_DPI", row.environment)
			settings, err := LoadSettings()
			require.NoError(t, err)
			flags, dpi, shift, ledger := flagsWith(t, row.args...)
			origins, err := settings.Apply(flags)
			require.NoError(t, err)
			require.Equal(t, row.dpi, *dpi)
			require.Equal(t, row.shift, *shift)
			require.Equal(t, filepath.Join(filepath.Dir(path), "book.db"), *ledger, "a path in the file begins at the file")
			require.Equal(t, row.origin, trimmed(origins["dpi"]))
		})
	}
}

// trimmed leaves of an origin what does not change from run to run.
func trimmed(origin string) string {
	if filepath.IsAbs(origin) {
		return filepath.Base(origin)
	}
	return origin
}

func TestSettingsWithFaults(t *testing.T) {
	for _, row := range []struct{ reason, file, want string }{
		{"a setting that there is not", "dots = 300", `there is no setting "dots"`},
		{"a setting in a wrong table", "[printers.office]\nnursery = \"Us\"", `there is no setting "printers.office.nursery"`},
		{"a value that the flag refuses", "dpi = 7", "dpi = 7: a printer has 100 to 2400 dots per inch; most have 203, 300 or 600"},
		{"a list", "dpi = [300]", "dpi has the wrong kind of value"},
		{"a list under an old name", "places = [1]", "places has the wrong kind of value"},
		{"a value that the flag refuses, under an old name", "wrap = \"sideways\"", "wrap = sideways: "},
		{"an old option that was no setting", "bed = 40", `there is no setting "bed"`},
		{"no TOML", "dpi: 300", "line 1: expected '.' or '=', but got ':' instead"},
		{"printers that are no tables", "printers = 3", "printers must be tables"},
		{"a printer that is no table", "[printers]\noffice = 3", "printers.office must be a table: [printers.office]"},
		{"a printer in a table of another name", "[printer.office]\ndpi = 300", "printer cannot be a table"},
		{"far too large", strings.Repeat("#", 65<<10), "cannot be read: it is larger than 64 KB"},
		{"a key of many parts", strings.Repeat("a.", 30_000) + "a = 1", "it has more than 1000 full stops and braces, far more than such a file needs"},
		{"tables in each other", "a = " + strings.Repeat("{a=", 15_000), "it has more than 1000 full stops and braces, far more than such a file needs"},
		{"names that are no table", "names = 3", "names must be a table: [names]"},
		{"names under another heading", "[names]\nlatin = []", `there is no setting "names.latin"`},
		{"names that are no texts", "[names]\nbotanical = 1", "names.botanical must be text or a list of texts"},
		{"a name that is empty", "[names]\ncultivars = [\"Daphne\", \" \"]", "names.cultivars must be text or a list of texts"},
		{"a name settled twice", "[names]\nbotanical = [\"Daphne\"]\ncultivars = [\"'daphne'\"]", `"'daphne'" is in names.botanical and in names.cultivars`},
		{"a printer with a wrong value", "printer = \"office\"\n[printers.office]\nshift = 3", `printers.office.shift = 3: `},
	} {
		t.Run(row.reason, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "settings.toml")
			require.NoError(t, os.WriteFile(path, []byte(row.file), 0o600))
			t.Setenv(SettingsVariable, path)
			settings, err := LoadSettings()
			if err == nil {
				flags, _, _, _ := flagsWith(t)
				_, err = settings.Apply(flags)
			}
			require.ErrorContains(t, err, "settings "+path+": "+row.want)
			require.NotEmpty(t, adviceOn(err))
		})
	}
	t.Run("a printer that is not there", func(t *testing.T) {
		t.Setenv("HOME", t.TempDir())
		t.Setenv("XDG_CONFIG_HOME", "")
		settings, err := LoadSettings()
		require.NoError(t, err)
		require.True(t, settings.Missing)
		flags, _, _, _ := flagsWith(t, "--printer", "office")
		_, err = settings.Apply(flags)
		require.EqualError(t, err, `there is no printer "office" in the settings`)
	})
	t.Run("a file that was named must be there", func(t *testing.T) {
		t.Setenv(SettingsVariable, filepath.Join(t.TempDir(), "none.toml"))
		_, err := LoadSettings()
		require.ErrorContains(t, err, "none.toml: cannot be read: no such file or directory")
	})
	t.Run("a wrong value in the environment", func(t *testing.T) {
		t.Setenv("GRAFTSLIP_DPI", "many")
		settings, err := LoadSettings()
		require.NoError(t, err)
		flags, _, _, _ := flagsWith(t)
		_, err = settings.Apply(flags)
		require.ErrorContains(t, err, "GRAFTSLIP_DPI=many in the environment: ")
	})
}

// FuzzSettings: whatever stands in the file, it is read or refused with advice.
func FuzzSettings(f *testing.F) {
	for _, text := range []string{"dpi = 300", "[printers.office]\nscale = 0.998", "dpi = [1]", "=", "\x00", "printers = 1", "[days]\nlook = 21\n[days.stock.a]\nflush = 0", "ledger = '''a\nb'''", "a.b.c = 1", "[names]\nbotanical = ['Malus']\ncultivars = [1]"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		settings := &Settings{Path: "settings.toml"}
		if err := settings.parse(text); err != nil {
			require.NotEmpty(t, adviceOn(err))
			return
		}
		flags, _, _, _ := flagsWith(t)
		_, err := settings.Apply(flags)
		if err != nil {
			require.NotEmpty(t, err.Error())
		}
	})
}
