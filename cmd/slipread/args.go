package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records/lookup"
)

// atLeastOne checks that there are arguments; missing says what to name.
func atLeastOne(missing string) cobra.PositionalArgs {
	return command.Arguments(func(_ *cobra.Command, args []string) error {
		if len(args) == 0 {
			return errors.New(missing)
		}
		return nil
	})
}

// oneCode checks that the arguments name one code.
func oneCode(missing string) cobra.PositionalArgs {
	return command.Arguments(func(_ *cobra.Command, args []string) error {
		switch n := len(joined(args)); {
		case n == 0:
			return errors.New(missing)
		case n > 1:
			return fmt.Errorf("%d codes are given; give one at a time", n)
		}
		return nil
	})
}

// oneName checks that the arguments are one name, or none.
func oneName(c *cobra.Command, args []string) error {
	all := joined(args)
	at := slices.IndexFunc(all, func(arg string) bool { return !isName(arg) })
	switch {
	case at >= 0:
		return fmt.Errorf("%s takes a name, not %q", c.CommandPath(), all[at])
	case len(all) > 1:
		return fmt.Errorf("give one name at a time, not %d", len(all))
	}
	return nil
}

// joined joins the groups of a code typed with spaces, if they make a valid one. If all arguments
// are words, they are one name.
func joined(args []string) []string {
	all := joinedCodes(args)
	apart := func(arg string) bool { return arg != "/" && (strings.Contains(arg, " ") || !isName(arg)) } // a pair has a /
	if len(all) < 2 || slices.ContainsFunc(all, apart) {
		return all
	}
	return []string{strings.Join(all, " ")}
}

// isName reports whether an argument is a name to search.
func isName(arg string) bool { return lookup.Parse(arg).Form == lookup.Name && !namesFile(arg) }

func joinedCodes(args []string) []string {
	var all []string
	for i := 0; i < len(args); i++ {
		together := ""
		for j := i; j < len(args) && len(together) < codes.Digits && strings.Trim(args[j], "0123456789") == ""; j++ {
			together += args[j]
			if _, err := codes.Parse(together); err == nil {
				i = j
				break
			}
		}
		if _, err := codes.Parse(together); err != nil {
			together = args[i]
		}
		all = append(all, together)
	}
	return all
}

// namesFile reports whether an argument is the name of a file or meant as one.
func namesFile(arg string) bool {
	if _, err := codes.Parse(arg); err == nil || arg == "-" {
		return false
	}
	_, err := os.Stat(arg)
	return err == nil || lookup.Parse(arg).Form == lookup.FileName
}

// noFileEither advises on an argument that is no code.
func noFileEither(err error) error {
	return command.Advise(err, "there is no file with this name either")
}
