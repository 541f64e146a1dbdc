package command

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// Table writes rows below a head, each on a line of its own, with two spaces
// between the columns. Cells hold no tabs and no line ends.
func Table(w io.Writer, head []string, rows [][]string) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, row := range append([][]string{head}, rows...) {
		fmt.Fprintln(table, strings.Join(row, "\t")) // Flush reports failures
	}
	return table.Flush()
}

// JSONLines writes objects, each on a line of its own.
func JSONLines[T any](w io.Writer, objects []T) error {
	out := json.NewEncoder(w)
	for _, object := range objects {
		if err := out.Encode(object); err != nil {
			return err
		}
	}
	return nil
}
