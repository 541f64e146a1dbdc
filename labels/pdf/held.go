package pdf

import (
	"io"
	"regexp"

	"graftslip/labels"
)

// tail is how many bytes at the end of a file hold its information and object table: the
// library writes them after the pages and fonts.
const tail = 1 << 20

// keywords finds the keywords of a file from Write (ISO 32000-1, 14.3.3; memory). Write
// escapes no character of a setup.
var keywords = regexp.MustCompile(`/Keywords \(([^()\\]*)\)`)

// Held returns the setup of a file of Write, with the batches whose labels or cards it
// holds. It reports false for any other file, and for one that does not name its batches.
func Held(file io.ReaderAt, size int64) (labels.Setup, bool, error) {
	end := make([]byte, min(size, tail))
	if _, err := file.ReadAt(end, size-int64(len(end))); err != nil && err != io.EOF {
		return labels.Setup{}, false, err
	}
	found := keywords.FindSubmatch(end)
	if found == nil {
		return labels.Setup{}, false, nil
	}
	setup, err := labels.ParseSetup(string(found[1]))
	return setup, err == nil && len(setup.Batches) > 0, nil
}
