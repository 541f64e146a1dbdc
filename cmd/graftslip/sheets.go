package main

import (
	"encoding/json"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records/ledger"
)

func (p program) sheetsCommand() *cobra.Command {
	path, asJSON := "", false
	c := &cobra.Command{
		Use:   "sheets",
		Short: "List the sheets that are remembered, with the places that are free",
		Long: "List the sheets that are remembered, with the places that are free.\n\n" +
			"A sheet is remembered when something is printed with --sheet NAME. The next print with that name goes on where the last one stopped;\n" +
			"--start N --sheet NAME says that it really begins at place N, 1 for a new sheet.",
		Args: command.Arguments(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error {
			path, err := command.LedgerPath(path)
			if err != nil {
				return err
			}
			book, err := ledger.OpenExisting(c.Context(), path)
			if err != nil {
				return err
			}
			defer book.Close()
			sheets, err := book.Sheets(c.Context())
			if err != nil {
				return err
			}
			if asJSON {
				out := json.NewEncoder(c.OutOrStdout())
				for _, sheet := range sheets {
					if err := out.Encode(map[string]string{"name": sheet.Name, "stock": sheet.Stock, "free": sheet.Free.String()}); err != nil {
						return err
					}
				}
				return nil
			}
			if len(sheets) == 0 {
				command.Hint(c.ErrOrStderr(), "no sheet is remembered: print with --sheet NAME")
				return nil
			}
			table := tabwriter.NewWriter(c.OutOrStdout(), 0, 0, 2, ' ', 0)
			fmt.Fprintln(table, "SHEET\tSTOCK\tFREE\tPLACES")
			for _, sheet := range sheets {
				places := sheet.Free.String()
				if places == "" {
					places = "none: the next print begins a new sheet"
				}
				fmt.Fprintf(table, "%s\t%s\t%d\t%s\n", sheet.Name, sheet.Stock, len(sheet.Free), places)
			}
			return table.Flush()
		},
	}
	c.Flags().SortFlags = false
	command.LedgerFlag(c.Flags(), &path)
	c.Flags().BoolVar(&asJSON, "json", false, "one object for each sheet")
	return c
}
