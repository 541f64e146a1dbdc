package command

import (
	"testing"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"graftslip/layouts"
	"graftslip/records"
)

// registered are the flags after a command line.
func registered(t *testing.T, args ...string) PrintFlags {
	t.Helper()
	f := NewPrintFlags()
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	f.Register(flags)
	require.NoError(t, flags.Parse(args))
	return f
}

// All that says how slips are made can be kept in the settings, so that every
// program makes the same.
func TestPrintFlagsAreSettings(t *testing.T) {
	f := NewPrintFlags()
	flags := pflag.NewFlagSet("test", pflag.ContinueOnError)
	f.Register(flags)
	count := 0
	flags.VisitAll(func(flag *pflag.Flag) {
		require.Contains(t, SettingNames(), flag.Name)
		count++
	})
	require.Equal(t, 15, count)
}

func TestPrintFlagsOptions(t *testing.T) {
	f := registered(t)
	require.NoError(t, f.Check())
	stems, trays, err := f.Options()
	require.NoError(t, err)
	require.Equal(t, "letter-2x10", stems.Stock.Name)
	require.Equal(t, "letter-2x2", trays.Stock.Name)
	require.True(t, f.Setup(stems).Correction.None())
	require.Equal(t, records.Calendar{}, trays.Calendar, "the usual days, unless a program has others")

	f = registered(t, "--stems", "letter-3x10", "--stem", "9mm", "--clearance", "3mm", "--label-wrap", "band", "--dpi", "203", "--shift", "1mm,-2mm", "--scale", "0.99", "--nursery", "Sundial Grafts")
	f.Calendar = records.Calendar{All: records.Days{Look: 28}}
	require.NoError(t, f.Check())
	stems, trays, err = f.Options()
	require.NoError(t, err)
	require.Equal(t, layouts.Stem{Diameter: 9, Clearance: 3}, stems.Stem)
	require.Equal(t, layouts.Band, stems.Wrap)
	require.Equal(t, "Sundial Grafts", trays.Nursery)
	require.Equal(t, f.Calendar, trays.Calendar)
	for stock, setup := range map[string]string{
		"letter-3x10": f.Setup(stems).String(),
		"letter-2x2":  f.Setup(trays).String(),
	} {
		require.Equal(t, "stock="+stock+" dpi=203 shift=1mm,-2mm scale=0.99", setup, "the printer is the same for both")
	}
}

func TestPrintFlagsRefuse(t *testing.T) {
	for _, test := range []struct {
		args         []string
		told, reason string
	}{
		{[]string{"--stem", "0.5mm"}, "--stem must be from 1 mm to 60 mm", "too thin"},
		{[]string{"--stem", "61mm"}, "--stem must be from 1 mm to 60 mm", "too thick"},
		{[]string{"--clearance", "21mm"}, "--clearance must be at most 20 mm", "a label that falls off"},
		{[]string{"--card-symbol", "link"}, "--card-symbol link needs the address of the phone page", "a link to nowhere"},
	} {
		f := registered(t, test.args...)
		err := f.Check()
		require.EqualError(t, err, test.told, test.reason)
		var usage *UsageError
		require.ErrorAs(t, err, &usage, test.reason)
	}
}

// Cards and advice use the paper of the stem labels, or else the usual paper of the
// country.
func TestPaper(t *testing.T) {
	for _, test := range []struct {
		reason, locale string
		args           []string
		trays          string
		paper          layouts.Paper
	}{
		{"nothing is known", "C.UTF-8", nil, "letter-2x2", layouts.Letter},
		{"nobody chose, in Switzerland", "de_CH.UTF-8", nil, "letter-2x2", layouts.A4},
		{"nobody chose, in Canada", "fr_CA.UTF-8", nil, "letter-2x2", layouts.Letter},
		{"a locale cut short", "de_", nil, "letter-2x2", layouts.Letter},
		{"A4 labels", "en_US.UTF-8", []string{"--stems", "a4-5x13"}, "a4-2x2", layouts.A4},
		{"A4 labels of the user's own measures", "", []string{"--stems", "a4-4x12:48.5x21.2mm"}, "a4-2x2", layouts.A4},
		{"rolls, and cards on A4", "", []string{"--stems", "strip-25x200", "--trays", "a4-2x2"}, "a4-2x2", layouts.A4},
		{"cards that were chosen stay", "", []string{"--stems", "a4-5x13", "--trays", "card-4x6in"}, "card-4x6in", layouts.A4},
	} {
		for _, name := range []string{"LC_ALL", "LC_PAPER"} {
			t.Setenv(name, "")
		}
		t.Setenv("LANG", test.locale)
		f := registered(t, test.args...)
		require.Equal(t, test.trays, f.TrayStock().Name, test.reason)
		require.Equal(t, test.paper, f.Paper(), test.reason)
	}
}
