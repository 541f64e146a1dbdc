package main

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
)

// rulerFlags are the flags of "ruler".
type rulerFlags struct {
	folder     string
	printer    string
	correction layouts.Correction
	resolution float64 // printer dots an inch
}

func rulerCommand() *cobra.Command {
	f := rulerFlags{resolution: 300}
	c := &cobra.Command{
		Use:   "ruler STOCK",
		Short: "Print a page that shows how far off a printer is, and how to correct it",
		Long: `Print a page that shows how far off a printer is, and how to correct it.

The page shows the outline and number of every label of the label stock, and a millimetre rule each way. Print it on
plain paper, or for a roll on one of its labels, at 100 %, never "fit to page". The page explains what to measure.

A printer that prints 100 mm as 100.2 mm needs --scale 0.998. One that prints 0.5 mm too far right and 1 mm too high
needs --shift -0.5mm,1mm. Print the page again with both to check them.`,
		Example: "  graftslip ruler letter-2x10\n  graftslip ruler letter-2x10 --shift -0.5mm,1mm --scale 0.998,1.001",
		Args:    command.OneArgument("label stock"), ValidArgsFunction: command.CompleteStock,
		RunE: func(c *cobra.Command, args []string) error {
			stock, err := command.LookupStock(args[0])
			if err != nil {
				return &command.UsageError{Err: err}
			}
			return f.write(stock, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.folder, "out", ".", "write the PDF file to `FOLDER`, created if missing")
	flags.Var(command.Shift(&f.correction), "shift", "how far to move the print, to correct the printer")
	flags.Var(command.Scale(&f.correction), "scale", "factor to stretch the print by, to correct the printer")
	flags.Var(command.Resolution(&f.resolution), "dpi", "printer dots per inch")
	flags.StringVar(&f.printer, "printer", "", "use the dpi, shift and scale that the settings keep for the printer `NAME`")
	return c
}

func (f *rulerFlags) write(stock layouts.Stock, stdout, stderr io.Writer) error {
	face, err := labels.BuiltIn()
	if err != nil {
		return err
	}
	ruler := labels.DesignRuler(stock, f.correction, face, f.resolution)
	document := pdf.Document{
		Title: fmt.Sprintf(labels.RulerTitle, stock.Name), Author: "graftslip", Language: labels.Language, Face: face,
		// A ruler is of no day. A fixed one gives the same bytes every time.
		Date:  time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC),
		Setup: labels.Setup{Stock: ruler.Stock, DPI: f.resolution, Correction: f.correction},
	}
	staged, err := command.Stage(f.folder)
	if err != nil {
		return err
	}
	defer staged.Discard()
	err = staged.Write("ruler-"+strings.ReplaceAll(stock.Name, ":", "-")+".pdf", func(w io.Writer) error {
		_, err := pdf.Write(w, document, func(yield func(labels.Design, error) bool) { yield(ruler.Page, nil) })
		return err
	})
	if err != nil {
		return err
	}
	paths, err := staged.Keep()
	if err != nil {
		return err
	}
	// On a small label the words have no room.
	for _, words := range ruler.LeftOut {
		command.Hint(stderr, words)
	}
	_, err = fmt.Fprintf(stdout, "%s\nPrint it at 100 %%, never \"fit to page\". Measure as the page explains, then print labels with the --shift and --scale it gives.\n", paths[0])
	return err
}
