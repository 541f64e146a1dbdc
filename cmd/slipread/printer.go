package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/lookup"
)

// printer writes records and faults, each on a line of its own as it comes.
type printer struct {
	stdout, stderr io.Writer
	asJSON         bool
	today          time.Time
	dates          records.DateForm
	calendar       records.Calendar
	showFile       bool // a person has named more than one file or code
}

// daysUntil returns how many days ahead a day, at midnight UTC, is; negative if past.
func (p printer) daysUntil(day time.Time) int { return records.DaysBetween(p.day(), day) }

// day is today at midnight UTC.
func (p printer) day() time.Time { return records.Midnight(p.today) }

// when says how far ahead or late a day is.
func (p printer) when(day time.Time) string { return records.DaysWords(p.daysUntil(day), "late") }

// spaced joins parts into a line.
func spaced(parts ...string) string { return strings.Join(parts, "  ") }

// origin is where a text or a record comes from.
type origin struct {
	file   string
	page   int    // of a PDF, from 1
	symbol string // on the picture or page, as package scan names it; "": none
	sight  scan.Sight

	argument bool // of the program, and no file has this name
	carried  bool // the record is what the text itself carries
}

func (o origin) String() string {
	if o.page == 0 {
		return o.file
	}
	return fmt.Sprintf("%s, page %d", o.file, o.page)
}

// originJSON is what an object of "slipread --json" says of it; of a symbol in pixels with one
// decimal.
type originJSON struct {
	Carried bool           `json:"carried,omitempty"`
	File    string         `json:"file,omitempty"`
	Page    int            `json:"page,omitempty"`
	Symbol  string         `json:"symbol,omitempty"`
	Corners *[4][2]float64 `json:"corners,omitempty"`
	Module  float64        `json:"module,omitempty"` // left out when it is not known
}

func (o origin) json() originJSON {
	j := originJSON{Carried: o.carried, File: o.file, Page: o.page}
	if o.symbol == "" {
		return j
	}
	tenths := func(pixels float64) float64 { return math.Round(pixels*10)/10 + 0 } // + 0 turns -0 into 0
	j.Symbol, j.Corners, j.Module = o.symbol, new([4][2]float64), tenths(o.sight.Module)
	for i, corner := range o.sight.Corners {
		j.Corners[i] = [2]float64{tenths(corner.X), tenths(corner.Y)}
	}
	return j
}

// Why there is no record, beside what lookup knows.
const (
	noCode      lookup.Kind = "no-code"
	noFile      lookup.Kind = "no-file"
	unreadable  lookup.Kind = "unreadable"
	noRecord    lookup.Kind = "no-record"
	notRead     lookup.Kind = "missed"
	differs     lookup.Kind = "differs"
	outOfTime   lookup.Kind = "deadline"
	refused     lookup.Kind = "entry"
	contradicts lookup.Kind = "contradiction"
	notSaid     lookup.Kind = "not-understood"
)

// faultJSON is an object of "slipread --json" on a text or a file without a record.
type faultJSON struct {
	originJSON
	Read    string      `json:"read,omitempty"`
	Fault   lookup.Kind `json:"fault"`
	Reason  string      `json:"reason,omitempty"`
	Message string      `json:"message"`
}

func newFault(at origin, text string, kind lookup.Kind, err error) faultJSON {
	return faultJSON{originJSON: at.json(), Read: strings.TrimSpace(text), Fault: kind, Message: err.Error()}
}

// fault reports why there is no record. It returns command.ErrReported.
func (p printer) fault(at origin, text string, kind lookup.Kind, err error) error {
	if p.asJSON {
		return p.faultJSON(newFault(at, text, kind, err))
	}
	command.Report(p.stderr, err)
	return command.ErrReported
}

// faultJSON writes an object on a fault. It returns command.ErrReported.
func (p printer) faultJSON(fault any) error {
	if err := json.NewEncoder(p.stdout).Encode(fault); err != nil {
		return err
	}
	return command.ErrReported
}
