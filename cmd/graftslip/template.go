package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records/manifest"
)

func (p program) templateCommand() *cobra.Command {
	orders := false
	c := &cobra.Command{
		Use:   "template FILE",
		Short: "Write an empty manifest, or an empty file of orders, to fill in",
		Long: `Write an empty manifest, or an empty file of orders, to fill in.

The name of FILE ends in .xlsx for a workbook, whose headings have notes, or in .csv. The file has an example row. Delete
it first: nothing is printed while it is there.

You can also use your own spreadsheet. Its columns may come in any order, below a title. Headings may be English, German,
or your own, listed in the settings under [columns].`,
		Example: "  graftslip template tomorrow.xlsx\n  graftslip template orders.xlsx --orders",
		Args:    command.OneArgument("file"),
		RunE: func(c *cobra.Command, args []string) error {
			return writeTemplate(args[0], manifest.Template{Orders: orders, Today: p.now()}, c.OutOrStdout())
		},
	}
	c.Flags().BoolVar(&orders, "orders", false, "write a file of orders, for plan")
	return c
}

// writeTemplate writes a template; it never replaces a file.
func writeTemplate(path string, template manifest.Template, stdout io.Writer) error {
	write := template.WriteWorkbook
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx":
	case ".csv":
		write = template.WriteCSV
	default:
		return &command.UsageError{Err: fmt.Errorf("%q must end in .xlsx or .csv", path)}
	}
	if err := command.WriteNew(path, write); err != nil {
		return err
	}
	reader := "print"
	if template.Orders {
		reader = "plan"
	}
	_, err := fmt.Fprintf(stdout, "%s\nFill it in, delete the example row, and give it to graftslip %s.\n", path, reader)
	return err
}
