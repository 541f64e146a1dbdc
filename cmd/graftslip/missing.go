package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
)

// chooseMissing adds the stems of the trays named that a scan does not show. A
// scan that holds codes of trays names these as well.
func (s *selection) chooseMissing(ctx context.Context, all []asked, stdin io.Reader) error {
	s.kinds = onlyLabels
	shown, err := s.readScan(ctx, stdin)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		for _, code := range slices.SortedFunc(maps.Keys(shown), codes.Compare) {
			if code.Kind() == codes.Tray {
				all = append(all, asked{text: code.String(), code: code})
			}
		}
	}
	if len(all) == 0 {
		return &command.HintedError{Err: errors.New("no tray is named, and the scan shows no tray card"), Advice: "name the tray by the code on its card, or scan the card with its plants"}
	}
	for _, a := range all {
		if err := s.add(ctx, a); err != nil {
			return err
		}
	}
	return s.leaveOut(shown)
}

// leaveOut drops the stems that were shown.
func (s *selection) leaveOut(shown map[codes.Code]bool) error {
	missing := 0
	for _, batch := range slices.SortedFunc(maps.Keys(s.pieces), codes.Compare) {
		p := s.pieces[batch]
		seen := map[int]bool{} // trays of which a stem was shown
		left := slices.DeleteFunc(slices.Clone(p.stems), func(stem int) bool {
			code, err := batch.Stem(stem)
			if err != nil || !shown[code] {
				return false
			}
			delete(shown, code)
			seen[p.batch.TrayOf(stem)] = true
			return true
		})
		for _, stem := range p.stems {
			if tray := p.batch.TrayOf(stem); !seen[tray] {
				seen[tray] = true // reported once
				command.Hint(s.stderr, fmt.Sprintf("the scan shows no stem of %s tray %d: is it a scan of that tray?", batch.BatchName(), tray))
			}
		}
		p.stems = left
		missing += len(left)
	}
	others, spares := 0, 0
	for code := range shown {
		switch code.Kind() {
		case codes.Stem:
			others++
		case codes.Batch:
			spares++
		}
	}
	if spares > 0 {
		command.Hint(s.stderr, "the scan shows spare labels; they have no stem number, so their plants count as missing")
	}
	if others > 0 {
		command.Hint(s.stderr, fmt.Sprintf("ignored in the scan, from other trays: %s", records.Counted(others, "stem")))
	}
	if missing == 0 {
		return &command.HintedError{Err: errors.New("the scan shows every stem: no label is missing"), Advice: "nothing was printed"}
	}
	return nil
}

// readScan reads the codes of a file or of the standard input: a code a line as
// a scanner sends it, or what slipread prints of it.
func (s *selection) readScan(ctx context.Context, stdin io.Reader) (map[codes.Code]bool, error) {
	if s.missing != "-" {
		file, err := os.Open(s.missing)
		if err != nil {
			return nil, fmt.Errorf("cannot read the scan: %w", err)
		}
		defer file.Close()
		stdin = file
	}
	shown := map[codes.Code]bool{}
	var unread records.Numbers
	number := 0
	for line, err := range scan.Stream(ctx, stdin) {
		number++
		if err != nil && !errors.Is(err, scan.ErrLineTooLong) && !errors.Is(err, scan.ErrLineText) {
			return nil, fmt.Errorf("cannot read the scan: %w", err)
		}
		if err == nil && strings.TrimSpace(line) == "" {
			continue
		}
		if code, ok := codeOf(line); ok {
			shown[code] = true
		} else {
			unread = append(unread, number)
		}
	}
	if len(shown) == 0 {
		return nil, &command.HintedError{Err: errors.New("the scan holds no code"), Advice: "give it one code per line, or the output of slipread: slipread tray.jpg | graftslip reprint --missing -"}
	}
	if len(unread) > 0 {
		command.Hint(s.stderr, fmt.Sprintf("no valid code in lines %v of the scan; if they stand for plants, those count as missing", unread))
	}
	return shown, nil
}

// codeOf finds the code of a line: the line itself, what it begins with, or the
// code of an object as slipread --json prints it.
func codeOf(line string) (codes.Code, bool) {
	if code, err := codes.FromSymbol(line); err == nil {
		return code, true
	}
	var object struct {
		Code codes.Code `json:"code"`
	}
	if err := json.Unmarshal([]byte(line), &object); err == nil {
		return object.Code, !object.Code.IsZero()
	}
	first, _, _ := strings.Cut(strings.TrimSpace(line), " ")
	code, err := codes.Parse(first)
	return code, err == nil
}
