package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/photos"
)

// twoReaders are slipread and a peer for QR alone.
func twoReaders() []reader {
	return []reader{{name: slipread, symbols: symbols()}, {name: "owl", symbols: []string{"qr"}}}
}

func single(kind photos.Kind, symbol string, megapixels float64, seed uint64) shot {
	return shot{group{kind, symbol, 1, megapixels}, seed}
}

func TestTally(t *testing.T) {
	for _, test := range []struct {
		reason     string
		made, read []string
		want       count
		wrong      int
	}{
		{"what stands there is read", []string{"a"}, []string{"a"}, count{1, 1}, 0},
		{"nothing is read", []string{"a"}, nil, count{0, 1}, 0},
		{"read in two places, it is one text", []string{"a", "b"}, []string{"a", "a"}, count{1, 2}, 0},
		{"on two labels, it is one text", []string{"a", "a"}, []string{"a"}, count{1, 1}, 0},
		{"what does not stand there is wrong once", []string{"a"}, []string{"c", "a", "c"}, count{1, 1}, 1},
		{"a part of a text is wrong", []string{"ab"}, []string{"a"}, count{0, 1}, 1},
		{"nothing stands there", nil, []string{"a"}, count{0, 0}, 1},
	} {
		sum := newTally()
		s := single("plain", "qr", small, 1)
		sum.add(s, "owl", test.made, test.read)
		require.Equal(t, test.want, sum.counts[key{s.group, "owl"}], test.reason)
		require.Equal(t, test.wrong, sum.wrongOf("owl"), test.reason)
		require.Zero(t, sum.wrongOf(slipread), test.reason)
	}
}

func TestMedian(t *testing.T) {
	require.Equal(t, time.Duration(3), median([]time.Duration{9, 1, 3}))
	require.Equal(t, time.Duration(4), median([]time.Duration{9, 1, 5, 3}))
	require.Equal(t, time.Duration(7), median([]time.Duration{7}))
	require.Equal(t, time.Duration(9), worst([]time.Duration{1, 9, 3}))
}

func TestReport(t *testing.T) {
	o := options{kinds: []photos.Kind{"plain", "torn corner"}, symbols: []string{"qr", "code128"}, empty: 4}
	sum := newTally()
	read := func(s shot, reader string, did bool) {
		texts := []string{"x"}
		if !did {
			texts = nil
		}
		sum.add(s, reader, []string{"x"}, texts)
	}
	for seed := range uint64(3) {
		read(single("plain", "qr", small, seed), slipread, true)
		read(single("plain", "qr", small, seed), "owl", seed > 0)
		read(single("torn corner", "qr", small, seed), slipread, seed > 0)
		read(single("torn corner", "qr", small, seed), "owl", seed < 2) // as many, though others
		read(single("torn corner", "code128", small, seed), slipread, false)
	}
	read(single("plain", "qr", large, 9), slipread, false)
	read(single("plain", "qr", large, 9), "owl", true)
	text, err := report(sum, o, twoReaders())
	require.NoError(t, err)
	require.Equal(t, `| photographs | QR: slipread | QR: owl | Code 128: slipread |
|---|---|---|---|
| plain | 3 of 4 | 3 of 4 |  |
| torn corner | 2 of 3 | 2 of 3 | 0 of 3 |
| share at 2 megapixels | 83.3 % | 66.7 % | 0.0 % |
| share at 12 megapixels | 0.0 % | 100.0 % |  |

slipread reads 0 texts on 4 photographs without a code.

Wrong texts: slipread 0, owl 0.

`, text)

	read(single("torn corner", "qr", large, 9), slipread, false)
	read(single("torn corner", "qr", large, 9), "owl", true)
	sum.add(single("plain", "qr", small, 5), "owl", nil, []string{"y"})
	sum.broken["owl"] = 2
	text, err = report(sum, o, twoReaders())
	require.EqualError(t, err, "slipread reads less than the best of the others in 1 places, marked with *")
	require.Contains(t, text, "| plain | 3 of 4 | 3 of 4 |")
	require.Contains(t, text, "| torn corner | 2 of 4* | 3 of 4 |")
	require.Contains(t, text, "Wrong texts: slipread 0, owl 1. owl broke down on 2 photographs, which count as not read.\n")
	require.Equal(t, "plain-qr-2mp-5.jpg: owl reads \"y\"\n", wrongList(sum))

	text, err = report(sum, o, twoReaders()[1:])
	require.NoError(t, err, "without slipread nothing is held against it")
	require.NotContains(t, text, "*")

	sum.add(shot{group{megapixels: small}, 3}, slipread, nil, []string{"z"})
	sum.add(single("plain", "code128", small, 3), slipread, nil, []string{"w"})
	text, err = report(sum, o, twoReaders())
	require.ErrorContains(t, err, "slipread reads 2 texts that do not stand there")
	require.Contains(t, text, "slipread reads 1 texts on 4 photographs")
}

func TestTraysAndTimes(t *testing.T) {
	o := options{kinds: []photos.Kind{"plain"}, symbols: []string{"qr", "code128"}, trays: true, timing: true}
	sum := newTally()
	for i, tray := range []shot{{group{"", "qr", 12, large}, 1}, {group{"", "qr", 12, large}, 2}, {group{"", "code128", 65, large}, 1}} {
		k := key{tray.group, slipread}
		sum.add(tray, slipread, []string{"a", "b"}, []string{"a"})
		sum.laps[k] = append(sum.laps[k], lap{100 * time.Millisecond, time.Duration(i+1) * time.Second})
		if tray.symbol == "qr" {
			k.reader = "owl"
			sum.add(tray, "owl", []string{"a", "b"}, []string{"a", "b"})
			sum.laps[k] = append(sum.laps[k], lap{reading: 2500 * time.Millisecond})
		}
	}
	text, behind := trayTable(sum, o, twoReaders())
	require.Equal(t, 1, behind)
	require.Equal(t, `| codes on a tray | symbol | slipread | seconds | owl | seconds |
|---|---|---|---|---|---|
| 12 | QR | 2 of 4* | 1.60 | 4 of 4 | 2.50 |
| 12 | Code 128 |  |  |  |  |
| 30 | QR |  |  |  |  |
| 30 | Code 128 |  |  |  |  |
| 65 | QR |  |  |  |  |
| 65 | Code 128 | 1 of 2 | 3.10 |  |  |
`, text)

	plain := key{group{"plain", "qr", 1, large}, slipread}
	sum.laps[plain] = []lap{{80 * time.Millisecond, 900 * time.Millisecond}, {100 * time.Millisecond, 400 * time.Millisecond}, {90 * time.Millisecond, 500 * time.Millisecond}}
	plain.reader = "owl"
	sum.laps[plain] = []lap{{reading: 1200 * time.Millisecond}}
	sum.peak = 123_499_999
	require.Equal(t, `| one code at 12 megapixels, ms | QR: median | worst | Code 128: median | worst |
|---|---|---|---|---|
| slipread: reading pixels | 500 | 900 |  |  |
| slipread: decoding the JPEG before | 90 | 100 |  |  |
| owl: the whole process | 1200 | 1200 |  |  |

slipread works on all processors. As a program of its own it takes 123 MB of memory at most for one of these photographs.
`, timeTable(sum, o, twoReaders()), "times of trays are not among them")
}
