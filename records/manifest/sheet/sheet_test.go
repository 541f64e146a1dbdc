package sheet_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest/sheet"
)

// reading is what a file gives, in words: each row as "2: a|b", with ! before a cell
// that has a fault, # before a number and @ before a date.
type reading struct {
	rows  []string
	hints []string
	fault string
}

func readAll(t testing.TB, data []byte, options sheet.Options) (read reading) {
	t.Helper()
	s, err := sheet.Open(strings.NewReader(string(data)), options)
	for err == nil {
		var row sheet.Row
		if row, err = s.Next(); err == nil {
			read.rows = append(read.rows, words(row))
		}
	}
	if errors.Is(err, io.EOF) {
		_, err = s.Next()
		require.ErrorIs(t, err, io.EOF, "the end stays the end")
		read.hints = s.Hints()
		return read
	}
	var fault *sheet.Fault
	require.ErrorAs(t, err, &fault)
	require.NotEmpty(t, fault.Found)
	require.NotEmpty(t, fault.Expected)
	read.fault = fault.Error()
	return read
}

func words(row sheet.Row) string {
	var cells []string
	for _, cell := range row.Cells {
		text := map[sheet.Kind]string{sheet.Number: "#", sheet.Date: "@"}[cell.Kind] + cell.Text
		if cell.Fault != nil {
			text = "!" + text + cell.Fault.Found
		}
		cells = append(cells, text)
	}
	return fmt.Sprintf("%d: %s", row.Number, strings.Join(cells, "|"))
}
