package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
)

const builtIn = "built in"

func settingsCommand() *cobra.Command {
	asJSON := false
	c := &cobra.Command{
		Use:   "settings",
		Short: "Show each setting, its value and where it comes from",
		Long: `Show each setting, its value and where it comes from.

You need no settings. If you always want the same, write it into a file:

  nursery = "Hazel Dial Grafts"
  stems = "a4-5x13"
  dpi = 600
  printer = "office"

  [printers.office]
  shift = "0.5mm,-1mm"
  scale = 0.998

  [columns]
  variety = ["Cultivar", "Name"]

  [days]
  look = 21

  [days.stock."Marlpit Hedge"]
  look = 28

A setting has the name of its option. An option on the command line beats the environment (GRAFTSLIP_STEMS=a4-5x13), and
the environment beats the file. ` + command.SettingsVariable + ` names another file.

[columns] lists your own headings in spreadsheets, for each column. It stands in the file only.

Days can be set in the file only: look, again, harden, flush and question. [days] holds for all, [days.stock."Some Name"]
for a rootstock, [days.variety."Some Name"] for a variety. A variety beats its rootstock.

[names] lists names that could be read in two ways: botanical = ["Malus"], cultivars = ["Rosa Mundula"].`,
		Args: command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			settings, err := command.LoadSettings()
			if err != nil {
				return err
			}
			f := printFlags{pressFlags: newPressFlags()}
			flags := pflag.NewFlagSet("settings", pflag.ContinueOnError)
			f.register(flags)
			var bed command.BedFlags // which slipread has
			bed.RegisterBy(flags)
			bed.RegisterRoom(flags)
			origins, err := settings.Apply(flags)
			if err != nil {
				return err
			}
			f.Trays = f.TrayStock()
			if f.ledger, err = command.LedgerPath(f.ledger); err != nil {
				return err
			}
			lines := settingLines(settings, flags, origins)
			if asJSON {
				return command.JSONLines(c.OutOrStdout(), lines)
			}
			return settingsTable(c.OutOrStdout(), settings, lines)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON object per setting")
	return c
}

// settingLine is a line of "settings --json".
type settingLine struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	From  string `json:"from"`
}

// settingLines are the settings that are flags, and the days.
func settingLines(settings *command.Settings, flags *pflag.FlagSet, origins map[string]string) []settingLine {
	var lines []settingLine
	for _, name := range command.SettingNames() {
		lines = append(lines, settingLine{name, flags.Lookup(name).Value.String(), cmp.Or(origins[name], builtIn)})
	}
	for _, days := range settings.Days() {
		from := builtIn
		if days.Kept {
			from = settings.Path
		}
		lines = append(lines, settingLine{days.Name, strconv.Itoa(days.Days), from})
	}
	for _, column := range slices.Sorted(maps.Keys(settings.Headings)) {
		lines = append(lines, settingLine{"columns." + column, strings.Join(settings.Headings[column], ", "), settings.Path})
	}
	for _, names := range []struct {
		kind string
		list []string
	}{{"botanical", settings.Names.Botanical}, {"cultivars", settings.Names.Cultivars}} {
		if len(names.list) > 0 {
			lines = append(lines, settingLine{"names." + names.kind, strings.Join(names.list, ", "), settings.Path})
		}
	}
	return lines
}

func settingsTable(w io.Writer, settings *command.Settings, lines []settingLine) error {
	var rows [][]string
	for _, line := range lines {
		rows = append(rows, []string{line.Name, cmp.Or(line.Value, "-"), line.From})
	}
	if err := command.Table(w, []string{"SETTING", "VALUE", "FROM"}, rows); err != nil {
		return err
	}
	for _, name := range settings.Printers() {
		var kept []string
		printer := settings.Printer(name)
		for _, key := range slices.Sorted(maps.Keys(printer)) {
			kept = append(kept, key+" "+printer[key])
		}
		fmt.Fprintf(w, "printer %s: %s\n", name, strings.Join(kept, ", "))
	}
	state := ""
	if settings.Missing {
		state = " (no such file; none is needed)"
	}
	_, err := fmt.Fprintf(w, "file: %s%s\n", settings.Path, state)
	return err
}
