package command

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/spf13/pflag"
	"golang.org/x/text/unicode/norm"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

// value is a flag's value.
type value[T any] struct {
	at     *T
	name   string // of the value in the help
	parse  func(string) (T, error)
	format func(T) string
}

// Value makes a flag's value of a variable: how the help calls it, how
// it is read, and how it is written. The value of a flag that was not given is
// written as "".
func Value[T any](at *T, name string, parse func(string) (T, error), format func(T) string) pflag.Value {
	return &value[T]{at, name, parse, format}
}

func (v *value[T]) Set(text string) error {
	parsed, err := v.parse(text)
	if err == nil {
		*v.at = parsed
	}
	return err
}

func (v *value[T]) String() string { return v.format(*v.at) }

func (v *value[T]) Type() string { return v.name }

func asIs(text string) string { return text }

// Number is a whole number from 1 to a most, 0 when it was not given. The error reports
// any other text.
func Number(at *int, most int, wrong error) pflag.Value {
	parse := func(text string) (int, error) {
		n, err := strconv.ParseUint(strings.TrimSpace(text), 10, 32)
		if err != nil || n < 1 || n > uint64(most) {
			return 0, wrong
		}
		return int(n), nil
	}
	return Value(at, "N", parse, func(n int) string {
		if n == 0 {
			return ""
		}
		return strconv.Itoa(n)
	})
}

// Numbers are numbers and ranges, such as 3,5-8.
func Numbers(at *records.Numbers) pflag.Value {
	return Value(at, "N,N-N", records.ParseNumbers, records.Numbers.String)
}

// Length is in millimetres, written with its unit.
func Length(at *float64) pflag.Value {
	return Value(at, "LENGTH", layouts.ParseLength, shortLength)
}

func shortLength(mm float64) string { return strings.ReplaceAll(layouts.FormatLength(mm), " ", "") }

// Date is a calendar day, midnight UTC.
func Date(at *time.Time) pflag.Value {
	return Value(at, "DATE", ParseDate, func(date time.Time) string {
		if date.IsZero() {
			return ""
		}
		return date.Format(time.DateOnly)
	})
}

// ParseDate reads a date from 2000 to 2099, in ISO 8601 or day first with dots, as in
// 25.11.2026. Spreadsheets may have both too.
func ParseDate(text string) (time.Time, error) {
	date, err := time.Parse(time.DateOnly, strings.TrimSpace(text))
	if err != nil {
		date, err = time.Parse("2.1.2006", strings.TrimSpace(text))
	}
	if err != nil {
		return time.Time{}, fmt.Errorf("%q is not a date; write it as in 2026-11-25", text)
	}
	if date.Year() < 2000 || date.Year() > 2099 {
		return time.Time{}, errors.New("a date must be from 2000 to 2099")
	}
	return date, nil
}

// DateForm is how dates are written.
func DateForm(at *records.DateForm) pflag.Value {
	return Value(at, "day|week|ordinal", records.ParseDateForm, records.DateForm.String)
}

// Duration is how long something may take, more than zero; 0 when it was not
// given.
func Duration(at *time.Duration) pflag.Value {
	parse := func(text string) (time.Duration, error) {
		duration, err := time.ParseDuration(strings.ReplaceAll(text, " ", ""))
		switch {
		case err != nil:
			return 0, errors.New("write a duration with its unit, as in 2s, 500ms or 1m")
		case duration <= 0:
			return 0, errors.New("a duration must be more than zero, as in 2s")
		}
		return duration, nil
	}
	return Value(at, "DURATION", parse, FormatDuration)
}

// FormatDuration writes a duration without units of which there are none: 1m,
// not 1m0s; "" for none.
func FormatDuration(d time.Duration) string {
	if d == 0 {
		return ""
	}
	text := d.String()
	for _, none := range []struct{ after, zero string }{{"m", "0s"}, {"h", "0m"}} {
		if shorter, ok := strings.CutSuffix(text, none.after+none.zero); ok {
			text = shorter + none.after
		}
	}
	return text
}

// Name is a name for labels, in Unicode normalisation form C.
func Name(at *string) pflag.Value {
	const longest = 60
	parse := func(text string) (string, error) {
		name := norm.NFC.String(strings.Join(strings.Fields(text), " "))
		if strings.ContainsFunc(name, unicode.IsControl) || len([]rune(name)) > longest {
			return "", errors.New("a name has at most 60 characters, and no control characters")
		}
		return name, nil
	}
	return Value(at, "NAME", parse, asIs)
}

// Stock is label stock by name or by its measures.
func Stock(at *layouts.Stock) pflag.Value {
	return Value(at, "STOCK", LookupStock, func(stock layouts.Stock) string { return stock.Name })
}

// Wrap is how a label goes round a stem.
func Wrap(at *layouts.Wrap) pflag.Value {
	return Value(at, "flag|loop|band|flat", layouts.ParseWrap, layouts.Wrap.String)
}

// Symbols are the symbols to try, in order of preference.
func Symbols(at *[]symbol.Kind) pflag.Value {
	parse := func(name string) ([]symbol.Kind, error) {
		if strings.EqualFold(name, "auto") {
			return symbol.Auto(), nil
		}
		kind, err := symbol.ParseKind(name)
		return []symbol.Kind{kind}, err
	}
	return Value(at, "auto|qr|datamatrix|code128", parse, func(symbols []symbol.Kind) string {
		if len(symbols) == 1 {
			return symbols[0].String()
		}
		return "auto"
	})
}

// CardSymbol is what the symbol of a tray card holds.
func CardSymbol(at *labels.CardSymbol) pflag.Value {
	return Value(at, "code|record|link", labels.ParseCardSymbol, labels.CardSymbol.String)
}

// Link is the address that codes are appended to.
func Link(at *string) pflag.Value { return Value(at, "ADDRESS", labels.ParseLink, asIs) }

// Resolution is printer dots per inch, from labels.LeastDPI to labels.MostDPI.
func Resolution(at *float64) pflag.Value {
	parse := func(text string) (float64, error) {
		dpi, err := strconv.ParseFloat(text, 64)
		if err != nil || !(dpi >= labels.LeastDPI && dpi <= labels.MostDPI) {
			return 0, fmt.Errorf("a printer has %v to %v dots per inch; most have 203, 300 or 600", labels.LeastDPI, labels.MostDPI)
		}
		return dpi, nil
	}
	return Value(at, "DPI", parse, layouts.FormatNumber)
}

// Shift is how far print is moved on the paper to correct the printer; of the
// correction it sets nothing else.
func Shift(at *layouts.Correction) pflag.Value {
	parse := func(text string) (layouts.Correction, error) {
		x, y, err := layouts.ParseShift(text)
		return layouts.Correction{ShiftX: x, ShiftY: y, ScaleX: at.ScaleX, ScaleY: at.ScaleY}, err
	}
	return Value(at, "RIGHT,DOWN", parse, layouts.Correction.FormatShift)
}

// Scale is the factors across and down by which distances are printed to correct
// the printer; of the correction it sets nothing else.
func Scale(at *layouts.Correction) pflag.Value {
	parse := func(text string) (layouts.Correction, error) {
		x, y, err := layouts.ParseScale(text)
		return layouts.Correction{ShiftX: at.ShiftX, ShiftY: at.ShiftY, ScaleX: x, ScaleY: y}, err
	}
	return Value(at, "N|ACROSS,DOWN", parse, layouts.Correction.FormatScale)
}

// SpareLabels are labels without a stem number for each batch, as a number or as a
// share of its grafts.
type SpareLabels struct {
	Number  int
	Percent bool
}

// Of is the number of spare labels for a batch of so many grafts; a share is
// rounded up.
func (s SpareLabels) Of(grafts int) int {
	if s.Percent {
		return (grafts*s.Number + 99) / 100
	}
	return s.Number
}

func (s SpareLabels) String() string {
	if s.Percent {
		return strconv.Itoa(s.Number) + "%"
	}
	return strconv.Itoa(s.Number)
}

// Spare is how many spare labels there are: "3" or "5%".
func Spare(at *SpareLabels) pflag.Value {
	parse := func(text string) (SpareLabels, error) {
		digits, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
		number, err := strconv.ParseUint(digits, 10, 16)
		if err != nil || number > 1000 || percent && number > 100 {
			return SpareLabels{}, errors.New("give a number per batch, up to 1000, or a share such as 5%")
		}
		return SpareLabels{int(number), percent}, nil
	}
	return Value(at, "N|N%", parse, SpareLabels.String)
}

// BedFlags are the flags of the mist bed that can be kept as settings.
type BedFlags struct {
	By        string // who enters what was seen
	BedSpaces int    // how many trays the bed holds, 0 when it was not given
	Tray      layouts.Size
}

// RegisterBy adds the flag that names who enters what was seen.
func (f *BedFlags) RegisterBy(flags *pflag.FlagSet) {
	flags.Var(Name(&f.By), "by", "name or initials of who looked")
}

// RegisterRoom adds the flags that set how large the bed is.
func (f *BedFlags) RegisterRoom(flags *pflag.FlagSet) {
	flags.Var(BedSpaces(&f.BedSpaces), "bed-spaces", "how many trays the mist bed holds")
	flags.Var(TraySize(&f.Tray), "tray-size", "width and length of a tray, such as 280x540mm")
}

// SquareMetres is the area of so many trays.
func (f *BedFlags) SquareMetres(trays int) float64 {
	return f.Tray.Width * f.Tray.Height * float64(trays) / 1e6
}

// BedSpaces is how many trays a bed holds.
func BedSpaces(at *int) pflag.Value {
	const most = 100_000
	return Number(at, most, fmt.Errorf("a bed holds 1 to %d trays", most))
}

// TraySize is the width and the length of a tray in millimetres. The unit behind the
// second number holds for both.
func TraySize(at *layouts.Size) pflag.Value {
	return Value(at, "WIDTHxLENGTH", parseTraySize, func(size layouts.Size) string {
		if size.Width == 0 {
			return ""
		}
		return layouts.FormatNumber(size.Width) + "x" + shortLength(size.Height)
	})
}

func parseTraySize(text string) (layouts.Size, error) {
	const most = 3000 // mm; our own choice: more is a typing error
	size, err := layouts.ParseSize(text)
	switch {
	case err != nil || size.Width <= 0 || size.Height <= 0:
		return layouts.Size{}, errors.New("write the size of a tray as in 280x540mm, 28x54cm or 11x21in")
	case size.Width > most || size.Height > most:
		return layouts.Size{}, fmt.Errorf("a tray is at most %d mm wide and long", most)
	}
	return size, nil
}
