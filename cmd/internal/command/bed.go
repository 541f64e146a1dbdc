package command

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"graftslip/layouts"
)

// BedFlags are the flags of the mist bed that can be kept as settings.
type BedFlags struct {
	By       Name // who enters what was seen
	Places   Places
	TraySize TraySize
}

// Register adds all the flags.
func (f *BedFlags) Register(flags *pflag.FlagSet) {
	f.RegisterBy(flags)
	f.RegisterRoom(flags)
}

// RegisterBy adds the flag that names who enters what was seen.
func (f *BedFlags) RegisterBy(flags *pflag.FlagSet) { flags.Var(&f.By, "by", "who saw it") }

// RegisterRoom adds the flags that say how large the bed is.
func (f *BedFlags) RegisterRoom(flags *pflag.FlagSet) {
	flags.Var(&f.Places, "places", "how many trays the bed holds")
	flags.Var(&f.TraySize, "tray-size", "width and length of a tray, such as 280x540mm")
}

// Places is a flag's value: how many trays a bed holds, 0 when it was not said.
type Places int

// Set reads a number.
func (p *Places) Set(text string) error {
	const most = 100_000
	n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 32)
	if err != nil || n < 1 || n > most {
		return fmt.Errorf("a bed holds 1 to %d trays", most)
	}
	*p = Places(n)
	return nil
}

func (p *Places) String() string {
	if *p == 0 {
		return ""
	}
	return strconv.Itoa(int(*p))
}

// Type names the value in the help.
func (p *Places) Type() string { return "N" }

// TraySize is a flag's value: the width and the length of a tray in
// millimetres, 0 when they were not said.
type TraySize struct{ Width, Length float64 }

// Set reads a size; the unit behind the second number holds for both.
func (t *TraySize) Set(text string) error {
	const most = 3000 // mm; our own choice: more is a slip of the pen
	wrong := errors.New("the size of a tray is written 280x540mm, 28x54cm or 11x21in")
	first, second, found := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	if !found {
		return wrong
	}
	first, second = strings.TrimSpace(first), strings.TrimSpace(second)
	unit := strings.TrimLeft(second, "0123456789./ ")
	if strings.TrimRight(first, "0123456789./ ") == "" {
		first += unit
	}
	width, err := layouts.ParseLength(first)
	if err != nil {
		return wrong
	}
	length, err := layouts.ParseLength(second)
	if err != nil || width <= 0 || length <= 0 {
		return wrong
	}
	if width > most || length > most {
		return fmt.Errorf("a tray is at most %d mm wide and long", most)
	}
	*t = TraySize{width, length}
	return nil
}

func (t *TraySize) String() string {
	if t.Width == 0 {
		return ""
	}
	return layouts.FormatNumber(t.Width) + "x" + strings.ReplaceAll(layouts.FormatLength(t.Length), " ", "")
}

// Type names the value in the help.
func (t *TraySize) Type() string { return "WIDTHxLENGTH" }

// SquareMetres is the area of so many trays.
func (t *TraySize) SquareMetres(trays int) float64 { return t.Width * t.Length * float64(trays) / 1e6 }
