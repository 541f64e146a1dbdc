package command

import (
	"io"
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// Progress shows on a terminal how far a long job is. It returns a function to
// call for each step and one to call at the end; both do nothing when w is no
// terminal.
func Progress(w io.Writer, steps int, what string) (step, end func()) {
	file, isFile := Terminal(w).(*os.File)
	if !isFile || !term.IsTerminal(int(file.Fd())) {
		return func() {}, func() {}
	}
	bar := progressbar.NewOptions(steps, progressbar.OptionSetWriter(file), progressbar.OptionSetDescription(what),
		progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish(), progressbar.OptionShowCount())
	return func() { _ = bar.Add(1) }, func() { _ = bar.Finish() }
}
