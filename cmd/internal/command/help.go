package command

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"graftslip/layouts"
)

// helpWidth is how many columns the help takes at most.
const helpWidth = 100

// Group adds commands to a root command under a heading of its help.
func Group(root *cobra.Command, heading string, commands ...*cobra.Command) {
	root.AddGroup(&cobra.Group{ID: heading, Title: heading})
	for _, c := range commands {
		c.GroupID = heading
	}
	root.AddCommand(commands...)
}

// help writes what a command does, how it is typed, and its options or commands.
// It is for cobra.Command.SetHelpFunc.
func help(c *cobra.Command, _ []string) {
	w := c.OutOrStdout()
	text := c.Long
	if text == "" {
		text = c.Short + "."
	}
	for paragraph := range strings.SplitSeq(strings.TrimSpace(text), "\n\n") {
		if !strings.HasPrefix(paragraph, " ") { // an indented one is a list, which keeps its lines
			paragraph = wrapped(paragraph, 0)
		}
		fmt.Fprintf(w, "%s\n\n", paragraph)
	}
	fmt.Fprintf(w, "Usage:\n")
	if !c.HasAvailableSubCommands() || strings.Contains(c.Use, " ") { // else it does nothing by itself
		fmt.Fprintf(w, "  %s\n", strings.Replace(c.UseLine(), "[flags]", "[options]", 1))
	}
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(w, "  %s COMMAND [options]\n", c.CommandPath())
	}
	if c.Example != "" {
		fmt.Fprintf(w, "\nExamples:\n%s\n", c.Example)
	}
	for _, group := range c.Groups() {
		fmt.Fprintf(w, "\n%s:\n", group.Title)
		var rows [][2]string
		for _, sub := range c.Commands() {
			if sub.GroupID == group.ID && sub.IsAvailableCommand() {
				rows = append(rows, [2]string{sub.Name(), sub.Short})
			}
		}
		writeRows(w, rows)
	}
	fmt.Fprintf(w, "\nOptions:\n")
	writeRows(w, options(c.LocalFlags()))
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(w, "\nFor help on a command, run %s COMMAND --help\n", c.CommandPath())
	}
}

// options lists flags with what each sets, and its default if it has one.
func options(flags *pflag.FlagSet) [][2]string {
	var rows [][2]string
	flags.VisitAll(func(flag *pflag.Flag) {
		if flag.Hidden {
			return
		}
		value, usage := pflag.UnquoteUsage(flag)
		if flag.Name == "help" {
			usage = "show this help"
		}
		name := "--" + flag.Name
		if flag.Shorthand != "" {
			name = "-" + flag.Shorthand + ", " + name
		}
		switch isSwitch := flag.NoOptDefVal != ""; {
		case isSwitch && flag.DefValue == "true":
			name += "=false"
		case !isSwitch && value != "":
			name += " " + value
		}
		if flag.NoOptDefVal == "" && flag.DefValue != "" && flag.DefValue != "0" {
			usage += fmt.Sprintf(" (default: %s)", flag.DefValue)
		}
		rows = append(rows, [2]string{name, usage})
	})
	return rows
}

// writeRows writes two columns; the second is broken into lines.
func writeRows(w io.Writer, rows [][2]string) {
	first := 0
	for _, row := range rows {
		first = max(first, utf8.RuneCountInString(row[0]))
	}
	for _, row := range rows {
		fmt.Fprintf(w, "  %-*s  %s\n", first, row[0], wrapped(row[1], first+4))
	}
}

// wrapped breaks a text into lines that end before helpWidth when each but the first
// is indented.
func wrapped(text string, indent int) string {
	var b strings.Builder
	column := indent
	for i, word := range strings.Fields(text) {
		length := utf8.RuneCountInString(word)
		switch {
		case i == 0:
		case column+1+length > helpWidth:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			column = indent
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += length
	}
	return b.String()
}

// wordCompletion adds the commands that write scripts of completion, in our own words.
func wordCompletion(root *cobra.Command, args []string) {
	root.InitDefaultCompletionCmd(args...)
	load := map[string]string{
		"bash":       "source <(%s completion bash)",
		"zsh":        "source <(%s completion zsh)",
		"fish":       "%s completion fish | source",
		"powershell": "%s completion powershell | Out-String | Invoke-Expression",
	}
	for _, c := range root.Commands() {
		if c.Name() != "completion" {
			continue
		}
		c.Short = "Write a script that lets your shell complete commands and options"
		c.Long = c.Short + ".\n\nShells are bash, zsh, fish and powershell; " + c.CommandPath() + " SHELL --help shows how to load the script."
		c.Args = func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return &UsageError{&HintedError{fmt.Errorf("there is no completion for %q", args[0]), "use bash, zsh, fish or powershell"}}
			}
			return nil
		}
		c.RunE = func(c *cobra.Command, _ []string) error { return c.Help() }
		for _, shell := range c.Commands() {
			shell.Short = "Write the script for " + shell.Name()
			shell.Long = shell.Short + ".\n\nTo load it now, run this; to load it every time, put it into your shell's start file:\n\n  " +
				fmt.Sprintf(load[shell.Name()], root.Name())
			shell.Args = NoArguments
			if flag := shell.Flags().Lookup("no-descriptions"); flag != nil {
				flag.Usage = "complete without descriptions"
			}
		}
	}
}

// completeValues offers the values of an option to the completion of a shell where
// they can be listed.
func completeValues(c *cobra.Command) {
	c.Flags().VisitAll(func(flag *pflag.Flag) {
		kind := flag.Value.Type()
		var values []string
		switch {
		case kind == Stock(new(layouts.Stock)).Type():
			_ = c.RegisterFlagCompletionFunc(flag.Name, CompleteStock) // as below
			return
		case strings.Contains(kind, "|") && kind == strings.ToLower(kind):
			values = strings.Split(kind, "|")
		default:
			return
		}
		_ = c.RegisterFlagCompletionFunc(flag.Name, cobra.FixedCompletions(values, cobra.ShellCompDirectiveNoFileComp)) // each is registered once
	})
	for _, sub := range c.Commands() {
		completeValues(sub)
	}
}
