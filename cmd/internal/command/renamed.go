package command

import (
	"fmt"

	"github.com/spf13/cobra"
)

// renamed lists options and settings with a new name: the old name, then the new one. A
// setting is read under its old name, too, for ever.
func renamed() [][2]string {
	return [][2]string{
		{"wrap", "label-wrap"}, {"ease", "clearance"}, {"places", "bed-spaces"}, {"bed", "bed-spaces"},
		{"slips", "what"}, {"unwrapped", "tie-removed"},
	}
}

// successor returns the new name of an option or setting, "" where it has none.
func successor(old string) string {
	for _, names := range renamed() {
		if names[0] == old {
			return names[1]
		}
	}
	return ""
}

// RenamedCommand stands for a command that was renamed, and names its successor.
func RenamedCommand(old, now string) *cobra.Command {
	return &cobra.Command{Use: old, Hidden: true, DisableFlagParsing: true, RunE: func(c *cobra.Command, _ []string) error {
		return &HintedError{&UsageError{fmt.Errorf("%s is now called %s", old, now)}, "run " + c.Parent().CommandPath() + " " + now}
	}}
}
