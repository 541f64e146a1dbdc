package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
)

// withLanguage names the document's language in its catalogue, which the
// library cannot. The catalogue is the last object before the cross-reference
// table, so only the table's own place in the file moves.
func withLanguage(pdf []byte, language string) ([]byte, error) {
	catalogue := bytes.LastIndex(pdf, []byte("/Type /Catalog\n"))
	table := bytes.LastIndex(pdf, []byte("\nxref\n"))
	start := bytes.LastIndex(pdf, []byte("\nstartxref\n"))
	if catalogue < 0 || table < catalogue || start < table {
		return nil, errors.New("writing a PDF: it has no catalogue at its end")
	}
	entry := fmt.Sprintf("/Lang (%s)\n", language)
	marked := make([]byte, 0, len(pdf)+len(entry)+20)
	marked = append(marked, pdf[:catalogue]...)
	marked = append(marked, entry...)
	marked = append(marked, pdf[catalogue:start]...)
	marked = append(marked, "\nstartxref\n"...)
	marked = strconv.AppendInt(marked, int64(table+1+len(entry)), 10)
	return append(marked, "\n%%EOF\n"...), nil
}
