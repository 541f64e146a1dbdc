package command

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// Length is a flag's value in millimetres, written with its unit.
type Length float64

// Set reads a length.
func (l *Length) Set(s string) error {
	mm, err := layouts.ParseLength(s)
	*l = Length(mm)
	return err
}

func (l *Length) String() string {
	return strings.ReplaceAll(layouts.FormatLength(float64(*l)), " ", "")
}

// Type names the value in the help.
func (l *Length) Type() string { return "LENGTH" }

// Date is a flag's value: a calendar day, midnight UTC.
type Date struct{ time.Time }

// Set reads an ISO 8601 date.
func (d *Date) Set(s string) error {
	date, err := time.Parse(time.DateOnly, strings.TrimSpace(s))
	if err != nil {
		return errors.New("a date is written 2026-11-25 and must exist")
	}
	if date.Year() < 2000 || date.Year() > 2099 {
		return errors.New("dates reach from 2000 to 2099")
	}
	d.Time = date
	return nil
}

func (d *Date) String() string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

// Type names the value in the help.
func (d *Date) Type() string { return "DATE" }

// Stock is a flag's value: label stock by name.
type Stock struct{ layouts.Stock }

// Set looks a stock up.
func (s *Stock) Set(name string) (err error) {
	s.Stock, err = layouts.Lookup(name)
	return err
}

func (s *Stock) String() string { return s.Name }

// Type names the value in the help.
func (s *Stock) Type() string { return "STOCK" }

// Wrap is a flag's value: how a label goes round a stem.
type Wrap struct{ layouts.Wrap }

// Set reads the name of a wrap.
func (w *Wrap) Set(name string) (err error) {
	w.Wrap, err = layouts.ParseWrap(name)
	return err
}

// Type names the value in the help.
func (w *Wrap) Type() string { return "flag|loop|band" }

// Symbols is a flag's value: the symbols to try, in order of preference.
type Symbols []symbol.Kind

// Set reads the name of a symbol or "auto".
func (s *Symbols) Set(name string) error {
	if strings.EqualFold(name, "auto") {
		*s = symbol.Auto()
		return nil
	}
	kind, err := symbol.ParseKind(name)
	*s = Symbols{kind}
	return err
}

func (s *Symbols) String() string {
	if len(*s) == 1 {
		return (*s)[0].String()
	}
	return "auto"
}

// Type names the value in the help.
func (s *Symbols) Type() string { return "auto|qr|datamatrix|code128" }

// Resolution is a flag's value: printer dots an inch.
type Resolution float64

// Set reads a resolution from labels.LeastDPI to labels.MostDPI.
func (r *Resolution) Set(s string) error {
	dpi, err := strconv.ParseFloat(s, 64)
	if err != nil || !(dpi >= labels.LeastDPI && dpi <= labels.MostDPI) {
		return fmt.Errorf("a printer has %v to %v dots an inch, most have 203, 300 or 600", labels.LeastDPI, labels.MostDPI)
	}
	*r = Resolution(dpi)
	return nil
}

func (r *Resolution) String() string { return layouts.FormatNumber(float64(*r)) }

// Type names the value in the help.
func (r *Resolution) Type() string { return "DPI" }

// Spare is a flag's value: spare labels for each batch, as a number or as a
// share of its grafts.
type Spare struct {
	Number  int
	Percent bool
}

// Set reads "3" or "5%".
func (s *Spare) Set(text string) error {
	digits, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	number, err := strconv.ParseUint(digits, 10, 16)
	if err != nil || number > 1000 || percent && number > 100 {
		return errors.New("spare labels are a number up to 1000 for each batch, or a share such as 5%")
	}
	*s = Spare{int(number), percent}
	return nil
}

func (s *Spare) String() string {
	text := strconv.Itoa(s.Number)
	if s.Percent {
		text += "%"
	}
	return text
}

// Type names the value in the help.
func (s *Spare) Type() string { return "N|N%" }

// Of is the number of spare labels for a batch of so many grafts; a share is
// rounded up.
func (s *Spare) Of(grafts int) int {
	if s.Percent {
		return (grafts*s.Number + 99) / 100
	}
	return s.Number
}
