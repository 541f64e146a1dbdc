package command

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
)

// checkUsed refuses a path that is a file in use, or one of the files that SQLite keeps
// beside it.
func (s *Staged) checkUsed(path string) error {
	for _, used := range s.used {
		for _, ending := range []string{"", "-wal", "-shm", "-journal"} {
			if sameFile(path, used+ending) {
				return &UsageError{&HintedError{fmt.Errorf("cannot write %s: it would replace %s, which is in use", path, used+ending),
					"choose another name or folder"}}
			}
		}
	}
	return nil
}

// sameFile reports whether two paths lead to one file, even through links, or would if it existed.
func sameFile(a, b string) bool {
	first, noFirst := os.Stat(a)
	second, noSecond := os.Stat(b)
	if noFirst != nil && noSecond != nil && strings.EqualFold(filepath.Base(a), filepath.Base(b)) {
		first, noFirst = os.Stat(filepath.Dir(a))
		second, noSecond = os.Stat(filepath.Dir(b))
	}
	return noFirst == nil && noSecond == nil && os.SameFile(first, second)
}

// checkKind refuses to replace a file at path with one of another kind.
func checkKind(written, path string) error {
	held, err := kindOf(path)
	if errors.Is(err, os.ErrNotExist) || err == nil && held == "" {
		return nil
	}
	kind := ""
	if err == nil {
		kind, err = kindOf(written)
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: the file there cannot be read: %w", path, cause(err))
	}
	if held != kind {
		return &HintedError{fmt.Errorf("cannot write %s: the file there is %s, not %s", path, held, kind),
			"move that file away, or choose another name or folder"}
	}
	return nil
}

// kindOf names the kind of a file by its first bytes, "" if it is empty.
func kindOf(path string) (string, error) {
	file, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer file.Close()
	head, err := io.ReadAll(io.LimitReader(file, 512))
	if err != nil || len(head) == 0 {
		return "", err
	}
	for _, kind := range []struct{ start, name string }{
		{"%PDF-", "a PDF"}, {"\x89PNG\r\n\x1a\n", "a PNG picture"}, {"PK\x03\x04", "a workbook"}, {"SQLite format 3\x00", "a database"},
		{"BEGIN:VCALENDAR", "a calendar"}, {"<?xml", "an SVG or XML file"},
	} {
		if bytes.HasPrefix(head, []byte(kind.start)) {
			return kind.name, nil
		}
	}
	wide := bytes.HasPrefix(head, []byte("\xff\xfe")) || bytes.HasPrefix(head, []byte("\xfe\xff")) // UTF-16
	if bytes.IndexByte(head, 0) < 0 || wide {
		return "a text file", nil
	}
	return "something else", nil
}
