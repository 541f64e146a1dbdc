// Slipread reads labels and cards back: codes, pictures and PDFs in, records out.
package main

import (
	"context"
	"io"
	"os"
	"time"

	"graftslip/cmd/internal/command"
)

func main() {
	ctx, stop := command.Interruptible()
	status := program{now: time.Now, open: openScan}.run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(status)
}

func (p program) run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root := p.lookupCommand()
	command.Group(root, "At the mist bed", p.logCommand(), p.dueCommand(), p.bedCommand(), p.historyCommand(), p.serveCommand())
	command.Group(root, "After the season", p.ratesCommand())
	command.Group(root, "Keep the ledger", p.backupCommand(), p.importCommand())
	return command.Execute(ctx, root, args, stdin, stdout, stderr)
}
