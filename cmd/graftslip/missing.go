package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
)

// chooseMissing adds the stems of the trays named that a scan does not show. A
// scan that holds codes of trays names these as well.
func (s *selection) chooseMissing(ctx context.Context, asked []asked, stdin io.Reader) error {
	for _, a := range asked {
		if err := s.addTrays(ctx, a); err != nil {
			return err
		}
	}
	shown, err := s.readScan(stdin)
	if err != nil {
		return err
	}
	if len(s.pieces) == 0 {
		for code := range shown {
			if code.Kind() == codes.Tray {
				if err := s.addTrays(ctx, askedFor(code)); err != nil {
					return err
				}
			}
		}
	}
	if len(s.pieces) == 0 {
		return &command.HintedError{Err: errors.New("no tray is named, and the scan holds the code of none"), Advice: "name the tray by the code on its card, or scan the card with its plants"}
	}
	return s.leaveOut(shown)
}

func askedFor(code codes.Code) asked { return asked{text: code.String(), code: code} }

// addTrays adds all stems of a tray, or of the trays of --tray.
func (s *selection) addTrays(ctx context.Context, a asked) error {
	s.slips = onlyLabels
	if a.code.Kind() == codes.Tray || len(s.tray.Numbers) > 0 && len(a.stems) == 0 {
		return s.add(ctx, a)
	}
	return &command.UsageError{Err: fmt.Errorf("%q names no tray: --missing looks for the stems of one", a.text)}
}

// leaveOut drops the stems that were shown.
func (s *selection) leaveOut(shown map[codes.Code]bool) error {
	missing := 0
	for batch, p := range s.pieces {
		trays := map[int]int{} // stems shown, by tray
		left := slices.DeleteFunc(slices.Clone(p.stems), func(stem int) bool {
			code, err := batch.Stem(stem)
			if err != nil || !shown[code] {
				return false
			}
			delete(shown, code)
			trays[p.batch.TrayOf(stem)]++
			return true
		})
		for _, stem := range p.stems {
			if tray := p.batch.TrayOf(stem); trays[tray] == 0 {
				trays[tray] = -1
				command.Hint(s.stderr, fmt.Sprintf("the scan shows no stem of %s tray %d: is it a scan of that tray?", batchName(batch), tray))
			}
		}
		p.stems = left
		missing += len(left)
	}
	others := 0
	for code := range shown {
		if code.Kind() == codes.Stem {
			others++
		}
	}
	if others > 0 {
		command.Hint(s.stderr, fmt.Sprintf("%s in the scan that belong elsewhere were passed over", counted(others, "stem")))
	}
	if missing == 0 {
		return &command.HintedError{Err: errors.New("the scan shows every stem: no label is missing"), Advice: "nothing was printed"}
	}
	return nil
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// readScan reads the codes of a file or of the standard input: a code a line as
// a scanner sends it, or what slipread prints of it.
func (s *selection) readScan(stdin io.Reader) (map[codes.Code]bool, error) {
	if s.missing != "-" {
		file, err := os.Open(s.missing)
		if err != nil {
			return nil, fmt.Errorf("cannot read the scan: %w", err)
		}
		defer file.Close()
		stdin = file
	}
	shown := map[codes.Code]bool{}
	unread := 0
	for line, err := range scan.Lines(stdin) {
		if err != nil && !errors.Is(err, scan.ErrLineTooLong) && !errors.Is(err, scan.ErrLineText) {
			return nil, fmt.Errorf("cannot read the scan: %w", err)
		}
		if err == nil && strings.TrimSpace(line) == "" {
			continue
		}
		if code, ok := codeOf(line); ok {
			shown[code] = true
		} else {
			unread++
		}
	}
	if len(shown) == 0 {
		return nil, &command.HintedError{Err: errors.New("the scan holds no code"), Advice: "feed it a code a line, or what slipread prints of pictures: slipread tray.jpg | graftslip reprint --missing -"}
	}
	if unread > 0 {
		command.Hint(s.stderr, fmt.Sprintf("%s of the scan held no code: the plants they stand for, if any, count as missing", counted(unread, "line")))
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
