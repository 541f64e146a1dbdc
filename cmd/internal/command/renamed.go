package command

import (
	"fmt"

	"github.com/spf13/cobra"
)

// renamedSettings lists settings with a new name: the old name, then the new one. A
// setting is read under its old name, too, for ever.
func renamedSettings() [][2]string {
	return [][2]string{{"wrap", "label-wrap"}, {"ease", "clearance"}, {"places", "bed-spaces"}}
}

// settingKeys lists the names under which a setting is read: its own, then an old one.
func settingKeys(setting string) []string {
	keys := []string{setting}
	for _, names := range renamedSettings() {
		if names[1] == setting {
			keys = append(keys, names[0])
		}
	}
	return keys
}

// successor returns the new name of an option, "" where it has none.
func successor(old string) string {
	only := [][2]string{{"bed", "bed-spaces"}, {"slips", "what"}, {"unwrapped", "tie-removed"}}
	for _, names := range append(renamedSettings(), only...) {
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
