package command

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestDuration(t *testing.T) {
	for _, test := range []struct {
		text   string
		want   time.Duration
		shown  string
		reason string
	}{
		{"2s", 2 * time.Second, "2s", "seconds"},
		{"500ms", 500 * time.Millisecond, "500ms", "less than a second"},
		{"1m", time.Minute, "1m", "no 0s behind it"},
		{"60s", time.Minute, "1m", "the larger unit is shown"},
		{"2h", 2 * time.Hour, "2h", "neither minutes nor seconds"},
		{"1h30m", 90 * time.Minute, "1h30m", "two units"},
		{"1 h 30 m", 90 * time.Minute, "1h30m", "spaces"},
		{"10m0.5s", 10*time.Minute + 500*time.Millisecond, "10m0.5s", "zeros that count stay"},
		{"1h10s", time.Hour + 10*time.Second, "1h0m10s", "a zero between two units stays"},
		{"20m", 20 * time.Minute, "20m", "a number that ends in 0"},
	} {
		var d time.Duration
		flag := Duration(&d)
		require.Empty(t, flag.String(), "none is given")
		require.NoError(t, flag.Set(test.text), test.reason)
		require.Equal(t, test.want, d, test.reason)
		require.Equal(t, test.shown, flag.String(), test.reason)
	}
	for _, test := range []struct{ text, want, reason string }{
		{"2", "write a duration with its unit, as in 2s, 500ms or 1m", "no unit"},
		{"", "write a duration with its unit, as in 2s, 500ms or 1m", "nothing"},
		{"soon", "write a duration with its unit, as in 2s, 500ms or 1m", "no number"},
		{"99999999999h", "write a duration with its unit, as in 2s, 500ms or 1m", "more than can be counted"},
		{"0s", "a duration must be more than zero, as in 2s", "none"},
		{"-1m", "a duration must be more than zero, as in 2s", "backwards"},
	} {
		d := time.Second
		require.EqualError(t, Duration(&d).Set(test.text), test.want, test.reason)
		require.Equal(t, time.Second, d, test.reason)
	}
}
