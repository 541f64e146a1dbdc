package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"

	"graftslip/records/ledger"
)

// tellPeak, as the first argument, lets this program do nothing but run the
// command that follows and tell its peak of memory. On Linux a process counts
// the peak of the one that started it as its own, and the process that makes
// photographs has a high one.
const tellPeak = "tell-peak"

// runTellPeak runs a command and writes its peak in bytes.
func runTellPeak(ctx context.Context, command []string, out io.Writer) error {
	if len(command) == 0 {
		return errors.New(tellPeak + ": name a command")
	}
	c := exec.CommandContext(ctx, command[0], command[1:]...)
	var complaint bytes.Buffer
	c.Stderr = &complaint
	err := c.Run()
	// 1: a code was not found, or is not known to the ledger, which has none.
	var exit *exec.ExitError
	if err != nil && !(errors.As(err, &exit) && exit.ExitCode() == 1) {
		return fmt.Errorf("%s: %w\n%s", command[0], err, complaint.Bytes())
	}
	usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		return errors.New("this system does not tell what a process took")
	}
	peak := int64(usage.Maxrss) // kilobytes, on macOS bytes: getrusage(2) of each
	if runtime.GOOS != "darwin" {
		peak *= 1024
	}
	_, err = fmt.Fprintln(out, peak)
	return err
}

// newPeak builds slipread in a folder, beside an empty ledger and empty settings,
// and returns what measures it on a photograph.
func newPeak(ctx context.Context, folder string) (func(context.Context, string) (int64, error), error) {
	program, book, settings := filepath.Join(folder, slipread), filepath.Join(folder, "ledger.db"), filepath.Join(folder, "settings.toml")
	if err := os.WriteFile(settings, nil, 0o600); err != nil {
		return nil, err
	}
	if _, err := output(ctx, nil, "go", "build", "-o", program, "graftslip/cmd/slipread"); err != nil {
		return nil, err
	}
	made, err := ledger.Open(ctx, book)
	if err != nil {
		return nil, err
	}
	if err := made.Close(); err != nil {
		return nil, err
	}
	return func(ctx context.Context, file string) (int64, error) {
		// env becomes the program, so what it took itself does not count.
		return peakOf(ctx, "env", "GRAFTSLIP_SETTINGS="+settings, program, "--ledger", book, file)
	}, nil
}

// peakOf runs a command by way of this program and returns its peak in bytes.
func peakOf(ctx context.Context, command ...string) (int64, error) {
	self, err := os.Executable()
	if err != nil {
		return 0, err
	}
	out, err := output(ctx, nil, self, append([]string{tellPeak}, command...)...)
	if err != nil {
		return 0, err
	}
	return strconv.ParseInt(strings.TrimSpace(string(out)), 10, 64)
}
