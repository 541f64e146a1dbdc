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
		Short: "List the remembered sheets and their free positions",
		Long: "List the remembered sheets and their free positions.\n\n" +
			"print and reprint remember a sheet when you name it with --sheet NAME. The next print with that name goes on where the last one stopped.\n" +
			"With --sheet NAME --start N it begins at position N instead; position 1 is a new sheet.",
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
				command.Hint(c.ErrOrStderr(), "no sheet is remembered; to remember one, print with --sheet NAME")
				return nil
			}
			var rows [][]string
			for _, sheet := range sheets {
				places := sheet.Free.String()
				if places == "" {
					places = "none; the next print starts a new sheet"
				}
				rows = append(rows, []string{sheet.Name, sheet.Stock, strconv.Itoa(len(sheet.Free)), places})
			}
			return command.Table(c.OutOrStdout(), []string{"SHEET", "LABEL STOCK", "FREE", "POSITIONS"}, rows)
		},
	}
	c.Flags().SortFlags = false
	command.LedgerFlag(c.Flags(), &path)
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON object per sheet")
	return c
}
