package main

import (
	"strconv"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
)

func (p program) sheetsCommand() *cobra.Command {
	path, asJSON := "", false
	c := &cobra.Command{
		Use:   "sheets",
		Short: "List the sheets that are remembered, with the places that are free",
		Long: "List the sheets that are remembered, with the places that are free.\n\n" +
			"A sheet is remembered when something is printed with --sheet NAME. The next print with that name goes on where the last one stopped;\n" +
			"--start N --sheet NAME says that it really begins at place N, 1 for a new sheet.",
		Args: command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			book, err := command.OpenLedger(c.Context(), path)
			if err != nil {
				return err
			}
			defer book.Close()
			sheets, err := book.Sheets(c.Context())
			if err != nil {
				return err
			}
			if asJSON {
				var lines []map[string]string
				for _, sheet := range sheets {
					lines = append(lines, map[string]string{"name": sheet.Name, "stock": sheet.Stock, "free": sheet.Free.String()})
				}
				return command.JSONLines(c.OutOrStdout(), lines)
			}
			if len(sheets) == 0 {
				command.Hint(c.ErrOrStderr(), "no sheet is remembered: print with --sheet NAME")
				return nil
			}
			var rows [][]string
			for _, sheet := range sheets {
				places := sheet.Free.String()
				if places == "" {
					places = "none: the next print begins a new sheet"
				}
				rows = append(rows, []string{sheet.Name, sheet.Stock, strconv.Itoa(len(sheet.Free)), places})
			}
			return command.Table(c.OutOrStdout(), []string{"SHEET", "STOCK", "FREE", "PLACES"}, rows)
		},
	}
	c.Flags().SortFlags = false
	command.LedgerFlag(c.Flags(), &path)
	c.Flags().BoolVar(&asJSON, "json", false, "one object for each sheet")
	return c
}
