package command

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"

	"github.com/spf13/pflag"

	"graftslip/records/ledger"
)

// LedgerFlag adds the flag that names the ledger.
func LedgerFlag(flags *pflag.FlagSet, path *string) {
	flags.StringVar(path, "ledger", "", "use the ledger `FILE` (default: the one in the settings, else ledger.db in your data folder)")
}

// LedgerPath is where the ledger is: the flag's value, else ledger.db in the
// user's data folder.
func LedgerPath(flag string) (string, error) {
	if flag != "" {
		return flag, nil
	}
	folder, err := dataFolder()
	if err != nil {
		return "", &HintedError{err, "name a ledger with --ledger FILE or " + Variable("ledger")}
	}
	return filepath.Join(folder, "graftslip", "ledger.db"), nil
}

// OpenLedger opens the ledger that is there; see LedgerPath and
// ledger.OpenExisting.
func OpenLedger(ctx context.Context, flag string, options ...ledger.Option) (*ledger.Ledger, error) {
	path, err := LedgerPath(flag)
	if err != nil {
		return nil, err
	}
	return ledger.OpenExisting(ctx, path, options...)
}

// dataFolder is where a program keeps a user's data on this system: the XDG
// base directory specification elsewhere than on Windows and macOS.
func dataFolder() (string, error) {
	home, err := os.UserHomeDir()
	switch runtime.GOOS {
	case "windows":
		if folder := os.Getenv("LocalAppData"); folder != "" {
			return folder, nil
		}
		return "", errors.New("there is no folder for the ledger: LocalAppData is not set")
	case "darwin":
		return filepath.Join(home, "Library", "Application Support"), err
	}
	if folder := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(folder) {
		return folder, nil
	}
	return filepath.Join(home, ".local", "share"), err
}
