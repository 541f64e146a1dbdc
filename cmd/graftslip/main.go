// Graftslip plans grafts and makes stem labels and tray cards with batch codes.
package main

import (
	"context"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
)

func main() {
	ctx, stop := command.Interruptible()
	status := program{now: time.Now}.run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

// program is graftslip with its clock.
type program struct {
	now func() time.Time
}

func (p program) run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := &cobra.Command{
		Use:   "graftslip",
		Short: "Make labels for grafted plants, with codes that slipread reads",
		Args:  command.NoArguments,
		RunE:  func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	command.Group(root, "Spreadsheets", p.templateCommand())
	command.Group(root, "Plan", p.planCommand())
	command.Group(root, "Labels and cards", p.printCommand(), p.reprintCommand(), p.amendCommand(), p.voidCommand(), proofCommand())
	command.Group(root, "Label stock and printers", stocksCommand(), p.sheetsCommand(), rulerCommand())
	root.AddCommand(command.RenamedCommand("stocks", "label-stock"))
	command.Group(root, "Settings", settingsCommand())
	return command.Execute(ctx, root, args, stdin, stdout, stderr)
}
