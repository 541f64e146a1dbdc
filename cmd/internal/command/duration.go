package command

import (
	"errors"
	"strings"
	"time"
)

// Duration is a flag's value: how long something may take, more than nothing.
// Its zero says that nothing was given.
type Duration time.Duration

// Set reads a duration such as 2s, 500ms or 1m.
func (d *Duration) Set(text string) error {
	duration, err := time.ParseDuration(strings.ReplaceAll(text, " ", ""))
	switch {
	case err != nil:
		return errors.New("a duration is written with its unit: 2s, 500ms or 1m")
	case duration <= 0:
		return errors.New("a duration is more than nothing, such as 2s")
	}
	*d = Duration(duration)
	return nil
}

func (d *Duration) String() string {
	if *d == 0 {
		return ""
	}
	return FormatDuration(time.Duration(*d))
}

// Type names the value in the help.
func (d *Duration) Type() string { return "DURATION" }

// FormatDuration writes a duration without units of which there are none: 1m,
// not 1m0s.
func FormatDuration(d time.Duration) string {
	text := d.String()
	for _, none := range []struct{ after, zero string }{{"m", "0s"}, {"h", "0m"}} {
		if shorter, ok := strings.CutSuffix(text, none.after+none.zero); ok {
			text = shorter + none.after
		}
	}
	return text
}
