package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels/pdf"
)

// checkReplaced refuses to replace files with labels or cards that are not in this print, or
// with anything else.
func (p *press) checkReplaced(pieces []piece) error {
	printed := batchesOf(pieces)
	var refusals []error
	for _, pile := range p.piles() {
		for _, part := range pile.parts {
			problem, err := heldBeside(part.path, pile.what, printed)
			if err != nil {
				return err
			}
			if problem != "" {
				refusals = append(refusals, fmt.Errorf("%s %s", part.path, problem))
			}
		}
	}
	if len(refusals) == 0 {
		return nil
	}
	return command.Advise(errors.Join(refusals...), "to replace it, print with --replace; to keep it, print into another folder with --out; "+p.undone())
}

// heldBeside returns, as a clause, what a file holds besides labels or cards of these batches;
// "" for nothing or no file.
func heldBeside(path, what string, printed []codes.Code) (string, error) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return "", err // writing the file reports anything in its way
	}
	held, is, err := pdf.Held(file, info.Size())
	switch {
	case err != nil:
		return "", err
	case !is:
		return "already exists, and does not list the batches in it", nil
	}
	other := slices.DeleteFunc(held.Batches, func(batch codes.Code) bool { return slices.Contains(printed, batch) })
	if len(other) == 0 {
		return "", nil
	}
	return fmt.Sprintf("holds %s of %s, which are not in this print", what, batchNames(other)), nil
}

// batchNames lists batches, only the first if there are many.
func batchNames(batches []codes.Code) string {
	const most = 5
	var names []string
	for _, batch := range batches {
		names = append(names, batch.BatchName())
	}
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}

func batchesOf(pieces []piece) []codes.Code {
	var batches []codes.Code
	for _, piece := range pieces {
		batches = append(batches, piece.batch.Code)
	}
	return batches
}
