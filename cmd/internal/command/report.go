// Package command holds what both programs share at the command line: how
// they report errors, read flag values, find the ledger, write files and show
// progress.
package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/records"
)

// Wording of messages: one sentence without a full stop says what is wrong,
// after the place (file, row, column), with names in quotation marks. Advice goes
// into a hint of its own, which begins with what to do. Nobody escapes control characters:
// Execute has all output go through screen.

// Exit codes.
const (
	done   = 0
	failed = 1 // the job
	misuse = 2 // the call
)

// UsageError reports that the command line was wrong.
type UsageError struct {
	Err error
}

func (e *UsageError) Error() string { return e.Err.Error() }

// Unwrap returns the error itself.
func (e *UsageError) Unwrap() error { return e.Err }

// flagUsage makes usage errors of the errors of flags. It is for
// cobra.Command.SetFlagErrorFunc.
func flagUsage(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	mistyped := ""
	if errors.As(err, &unknown) {
		if words := c.Flags().Args(); len(words) > 0 { // the option may belong to the intended command
			mistyped = LikeCommand(c, words[0])
		}
		name, dashes := unknown.GetSpecifiedName(), "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		err = fmt.Errorf("there is no option %s%s", dashes, name)
		if now := successor(name); c.Flags().Lookup(now) != nil {
			err = fmt.Errorf("--%s is now called --%s", name, now)
		}
	}
	var invalid *pflag.InvalidValueError
	if errors.As(err, &invalid) {
		err = fmt.Errorf("--%s: %w", invalid.GetFlag().Name, invalid.Unwrap())
	}
	var without *pflag.ValueRequiredError
	if errors.As(err, &without) {
		name, _ := pflag.UnquoteUsage(without.GetFlag())
		err = fmt.Errorf("--%s needs a value: --%[1]s %s", without.GetFlag().Name, name)
	}
	var syntax *pflag.InvalidSyntaxError
	if errors.As(err, &syntax) {
		err = fmt.Errorf("%q is not an option", syntax.GetSpecifiedFlag())
	}
	return &HintedError{&UsageError{err}, mistyped}
}

// LikeCommand asks whether a word is a mistyped command of c; "" if no command is like it.
func LikeCommand(c *cobra.Command, word string) string {
	far := func(name string) bool {
		return !strings.HasPrefix(name, word) && records.Edits(name, word) > max(1, len(word)/3)
	}
	like := slices.DeleteFunc(c.SuggestionsFor(word), far)
	if len(like) == 0 {
		return ""
	}
	return fmt.Sprintf("did you mean %s %s?", c.CommandPath(), strings.Join(like, " or "))
}

// NoArguments refuses arguments. It is for cobra.Command.Args.
func NoArguments(c *cobra.Command, args []string) error {
	switch {
	case len(args) == 0:
		return nil
	case c.HasParent():
		return &UsageError{fmt.Errorf("%s takes no arguments; remove %q", c.CommandPath(), args[0])}
	}
	return &HintedError{&UsageError{fmt.Errorf("there is no command %q", args[0])}, LikeCommand(c, args[0])}
}

// OneArgument takes one argument; what names it, such as "manifest".
func OneArgument(what string) cobra.PositionalArgs {
	return Arguments(func(_ *cobra.Command, args []string) error {
		switch len(args) {
		case 0:
			return fmt.Errorf("name one %s", what)
		case 1:
			return nil
		}
		return fmt.Errorf("name one %s, not %d", what, len(args))
	})
}

// Arguments makes usage errors of the errors of a check of arguments.
func Arguments(check cobra.PositionalArgs) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if err := check(c, args); err != nil {
			return &UsageError{err}
		}
		return nil
	}
}

// HintedError is an error with advice.
type HintedError struct {
	Err    error
	Advice string
}

func (e *HintedError) Error() string { return e.Err.Error() }

// Unwrap returns the error itself.
func (e *HintedError) Unwrap() error { return e.Err }

// Hint returns the advice.
func (e *HintedError) Hint() string { return e.Advice }

// Advise adds advice to an error, to the last one where err joins several.
func Advise(err error, advice string) error {
	all := Flatten(err)
	last := len(all) - 1
	all = append(all[:last:last], &HintedError{all[last], advice})
	if last == 0 {
		return all[0]
	}
	return errors.Join(all...)
}

// ErrReported is returned by a job that has failed and has reported why.
var ErrReported = errors.New("the job has failed")

// Execute runs a root command and returns the program's exit code. Errors are
// written to stderr.
func Execute(ctx context.Context, root *cobra.Command, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	root.SilenceErrors, root.SilenceUsage = true, true
	root.SuggestionsMinimumDistance = 2 // letters that may differ
	root.Version = version()
	root.Flags().Bool("version", false, "print the version")
	root.SetVersionTemplate("{{.Name}} {{.Version}}\n")
	root.SetHelpFunc(help)
	const others = "Help"
	Group(root, others)
	root.SetHelpCommandGroupID(others)
	root.SetCompletionCommandGroupID(others)
	root.SetFlagErrorFunc(flagUsage)
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) error {
		settings, err := LoadSettings()
		if err != nil {
			return err
		}
		_, err = settings.Apply(c.Flags())
		return err
	}
	stdout, stderr = &screen{out: stdout}, &screen{out: stderr}
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	wordCompletion(root, args)
	completeValues(root)
	called, err := root.ExecuteContextC(ctx)
	var usage *UsageError
	switch {
	case err == nil:
		return done
	case errors.Is(err, ErrReported):
		return failed
	case errors.As(err, &usage):
		Report(stderr, err)
		if !called.DisableFlagParsing { // else --help is no option of it
			Hint(stderr, "for usage, run "+called.CommandPath()+" --help")
		}
		return misuse
	case ctx.Err() != nil:
		fmt.Fprintln(stderr, "error: stopped before the end")
		for _, hint := range advice(err) {
			Hint(stderr, hint)
		}
		return failed
	}
	Report(stderr, err)
	return failed
}

// Interruptible returns a context that ends when a person or the system asks
// the program to end. The second time it ends at once.
func Interruptible() (ctx context.Context, stop func()) {
	ctx, stop = signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop)
	return ctx, stop
}

// Report writes an "error:" line for each error that err joins, then a "hint:"
// line for each different piece of advice.
func Report(w io.Writer, err error) {
	var hints []string
	for _, single := range Flatten(err) {
		fmt.Fprintf(w, "error: %s\n", oneLine(plain(single)))
		for _, hint := range advice(single) {
			if !slices.Contains(hints, hint) {
				hints = append(hints, hint)
			}
		}
	}
	for _, hint := range hints {
		Hint(w, hint)
	}
}

// advice lists the advice of an error and of those it wraps, innermost first.
func advice(err error) []string {
	if err == nil {
		return nil
	}
	hints := advice(errors.Unwrap(err))
	if hinter, ok := err.(interface{ Hint() string }); ok && hinter.Hint() != "" {
		hints = append(hints, hinter.Hint())
	}
	return hints
}

// Hint writes a line of advice.
func Hint(w io.Writer, advice string) { fmt.Fprintf(w, "hint: %s\n", oneLine(advice)) }

// Caution writes a line on what can hurt somebody or break a law.
func Caution(w io.Writer, text string) { fmt.Fprintf(w, "caution: %s\n", oneLine(text)) }

// Flatten lists the errors that err joins, however deep, in order.
func Flatten(err error) []error {
	if several, ok := err.(interface{ Unwrap() []error }); ok {
		var all []error
		for _, each := range several.Unwrap() {
			all = append(all, Flatten(each)...)
		}
		return all
	}
	return []error{err}
}

// plain drops the name of the system call from an error of the file system.
func plain(err error) string {
	var path *fs.PathError
	if errors.As(err, &path) {
		return strings.Replace(err.Error(), path.Error(), path.Path+": "+path.Err.Error(), 1)
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return strings.Replace(err.Error(), link.Error(), link.New+": "+link.Err.Error(), 1)
	}
	return err.Error()
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
