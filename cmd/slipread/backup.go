package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
)

func (p program) backupCommand() *cobra.Command {
	var ledgerFlag string
	var keep int
	var asJSON bool
	c := &cobra.Command{
		Use:   "backup FILE|FOLDER",
		Short: "Write a backup of the ledger, also while it is in use",
		Long: `Write a backup of the ledger, also while labels are printed and entries are made. The backup is
checked before it gets its name. It never replaces a file.

In a FOLDER that exists, or whose name ends in a slash, the backup is named after the ledger and
the time, such as ledger-2026-12-01T093000.db. --keep 14 then removes all but the 14 newest
backups of this ledger with such a name.`,
		Example: "  slipread backup /media/stick/ledger.db\n  slipread backup backups/ --keep 14",
		Args:    command.OneArgument("file or folder"),
		RunE: func(c *cobra.Command, args []string) error {
			if args[0] == "" {
				return &command.UsageError{Err: errors.New("name one file or folder")}
			}
			book, err := command.OpenLedger(c.Context(), ledgerFlag, ledger.WithClock(p.now))
			if err != nil {
				return err
			}
			defer book.Close()
			path, names := backupPath(args[0], book.Path(), p.now())
			switch {
			case c.Flags().Changed("keep") && keep < 1:
				return &command.UsageError{Err: errors.New("--keep must be at least 1")}
			case keep > 0 && names == nil:
				return &command.UsageError{Err: fmt.Errorf("--keep goes with a folder, and %s is not one", args[0])}
			}
			done := backup{Path: path}
			err = command.MakeNew(path, func(temporary string) error {
				has, err := book.Backup(c.Context(), temporary)
				done.Batches, done.Entries = has.Batches, has.Entries
				return err
			}, book.Path())
			if err != nil {
				return err
			}
			if keep > 0 {
				done.Removed, err = removeOlder(path, keep, func(path string) bool {
					return names(filepath.Base(path)) && book.HasBackup(c.Context(), path)
				})
			}
			return errors.Join(done.report(c, asJSON), err)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().IntVar(&keep, "keep", 0, "keep this `NUMBER` of backups in the folder and remove older ones (default: all)")
	command.LedgerFlag(c.Flags(), &ledgerFlag)
	c.Flags().BoolVar(&asJSON, "json", false, "write JSON: one object")
	return c
}

// backupTime is the time in the name of a backup in a folder. Such names sort by time.
const backupTime = "2006-01-02T150405"

// backupPath is where a backup goes. In a folder, names tells which files are backups of that ledger.
func backupPath(argument, ledger string, now time.Time) (path string, names func(name string) bool) {
	info, err := os.Stat(argument)
	if !(err == nil && info.IsDir()) && !os.IsPathSeparator(argument[len(argument)-1]) {
		return argument, nil
	}
	ending := filepath.Ext(ledger)
	start := strings.TrimSuffix(filepath.Base(ledger), ending) + "-"
	names = func(name string) bool {
		middle, starts := strings.CutPrefix(name, start)
		middle, ends := strings.CutSuffix(middle, ending)
		_, err := time.Parse(backupTime, middle)
		return starts && ends && err == nil
	}
	return filepath.Join(argument, start+now.Format(backupTime)+ending), names
}

// removeOlder removes backups beside a new one until a number of them is left, the oldest first.
func removeOlder(path string, keep int, isBackup func(path string) bool) (removed []string, err error) {
	files, err := os.ReadDir(filepath.Dir(path))
	files = slices.DeleteFunc(files, func(file os.DirEntry) bool {
		other := filepath.Join(filepath.Dir(path), file.Name())
		return other == filepath.Clean(path) || !file.Type().IsRegular() || !isBackup(other)
	})
	if err != nil || len(files) < keep {
		return nil, err
	}
	for _, file := range files[:len(files)-(keep-1)] { // ReadDir sorts by name
		older := filepath.Join(filepath.Dir(path), file.Name())
		if err := os.Remove(older); err != nil {
			return removed, fmt.Errorf("cannot remove an older backup: %w", err)
		}
		removed = append(removed, older)
	}
	return removed, nil
}

// backup is what was written and removed.
type backup struct {
	Path    string   `json:"path"`
	Batches int      `json:"batches"`
	Entries int      `json:"entries"`
	Removed []string `json:"removed,omitempty"`
}

func (b backup) report(c *cobra.Command, asJSON bool) error {
	if asJSON {
		return command.JSONLines(c.OutOrStdout(), []backup{b})
	}
	_, err := fmt.Fprintf(c.OutOrStdout(), "%s  %s, %s\n", b.Path, records.Counted(b.Batches, "batch"), records.Counted(b.Entries, "entry"))
	for _, path := range b.Removed {
		if err == nil {
			_, err = fmt.Fprintf(c.OutOrStdout(), "removed %s\n", path)
		}
	}
	return err
}
