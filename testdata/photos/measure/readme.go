package main

import (
	"fmt"
	"os"
	"strings"
)

// manual has the tables, between two lines.
const (
	manual  = "codes/scan/README.md"
	opening = "<!-- photographs -->\n"
	closing = "<!-- /photographs -->\n"
)

// update rewrites what stands between the lines of a file; found is false, and
// the file as it was, when it has none.
func update(path, tables string) (found bool, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return false, err
	}
	before, rest, opened := strings.Cut(string(data), opening)
	_, after, closed := strings.Cut(rest, closing)
	if !opened || !closed {
		return false, nil
	}
	text := before + opening + tables + closing + after
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		return false, fmt.Errorf("the tables cannot be written: %w", err)
	}
	return true, nil
}
