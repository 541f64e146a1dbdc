package main

import (
	"flag"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/photos"
)

var threeKinds = []photos.Kind{"plain", "out of focus", "bent 30°"}

func TestSeeds(t *testing.T) {
	for _, test := range []struct {
		reason, text string
		want         []uint64
	}{
		{"a range with both its ends", "2001-2004", []uint64{2001, 2002, 2003, 2004}},
		{"a seed alone", "7", []uint64{7}},
		{"a range of one", "7-7", []uint64{7}},
		{"in the order named", "9,2-3,0", []uint64{9, 2, 3, 0}},
		{"none", "none", nil},
		{"the largest there is", "18446744073709551614-18446744073709551615", []uint64{18446744073709551614, 18446744073709551615}},
	} {
		got, err := parseSeeds("-seeds", test.text)
		require.NoError(t, err, test.reason)
		require.Equal(t, test.want, got, test.reason)
	}
	for _, test := range []struct{ reason, text, want string }{
		{"nothing", "", `-seeds: "" is neither a seed nor a range like 2001-2008`},
		{"backwards", "8-1", `"8-1" is neither`},
		{"no number", "one", `"one" is neither`},
		{"an open range", "5-", `"5-" is neither`},
		{"a list with a gap", "1,,2", `"" is neither`},
		{"a seed twice would count photographs twice", "1-5,3", "3 is there twice"},
		{"too many in a range", "1-10001", "at most 10000 seeds"},
		{"too many in all", "1-9999,20000-20001", "at most 10000 seeds"},
		{"all there are", "0-18446744073709551615", "at most 10000 seeds"},
	} {
		_, err := parseSeeds("-seeds", test.text)
		require.ErrorContains(t, err, test.want, test.reason)
	}
}

func TestParse(t *testing.T) {
	o, err := parse(nil, threeKinds, io.Discard)
	require.NoError(t, err)
	require.Len(t, o.seeds, 8)
	require.Len(t, o.large, 2)
	require.Equal(t, threeKinds, o.kinds)
	require.Equal(t, []string{"qr", "datamatrix", "code128"}, o.symbols)
	require.Equal(t, []string{"slipread", "zbar", "libdmtx", "zxing-cpp", "zxing-wasm"}, o.readers)
	require.False(t, o.trays || o.update || o.timing)
	require.Zero(t, o.empty)

	o, err = parse(strings.Split("-kinds bent-30°,out-of-focus -symbols code128,qr -readers zbar -empty 3 -keep there", " "), threeKinds, io.Discard)
	require.NoError(t, err)
	require.Equal(t, []photos.Kind{"out of focus", "bent 30°"}, o.kinds, "the order of the list of kinds")
	require.Equal(t, []string{"qr", "code128"}, o.symbols)
	require.Equal(t, []string{"zbar"}, o.readers)
	require.Equal(t, 3, o.empty)
	require.Equal(t, "there", o.keep)

	o, err = parse([]string{"-kinds", "plain,out of focus"}, threeKinds, io.Discard)
	require.NoError(t, err)
	require.Equal(t, []photos.Kind{"plain", "out of focus"}, o.kinds, "names with spaces")

	for _, test := range []struct{ reason, args, want string }{
		{"a kind that there is not", "-kinds plain,drowned", `-kinds: there is no "drowned"; there are plain, out-of-focus, bent-30°`},
		{"a symbol that there is not", "-symbols aztec", `-symbols: there is no "aztec"; there are qr, datamatrix, code128`},
		{"a reader that there is not", "-readers owl", `-readers: there is no "owl"`},
		{"seeds of the large ones", "-large x", "-large: "},
		{"two faults are told at once", "-seeds x -symbols aztec", "-symbols: "},
		{"a number below nothing", "-empty -1", "-empty is at least 0"},
		{"a word without an option", "plain", `"plain" is no option`},
	} {
		_, err := parse(strings.Fields(test.args), threeKinds, io.Discard)
		require.ErrorContains(t, err, test.want, test.reason)
	}
	_, err = parse([]string{"-h"}, threeKinds, io.Discard)
	require.ErrorIs(t, err, flag.ErrHelp)
}

func TestShots(t *testing.T) {
	o := options{seeds: []uint64{1, 2}, large: []uint64{5, 6, 7}, kinds: threeKinds, symbols: []string{"qr", "code128"}, trays: true, empty: 5}
	shots, files := o.shots(), map[string]bool{}
	require.Len(t, shots, 3*2*(2+3)+3*2*2)
	for _, s := range append(shots, o.emptyShots()...) {
		files[s.file()] = true
	}
	require.Len(t, files, len(shots)+5, "no file is written over another")
	require.Contains(t, files, "out-of-focus-qr-2mp-2.jpg")
	require.Contains(t, files, "tray-of-30-code128-12mp-6.jpg")
	require.NotContains(t, files, "tray-of-30-code128-12mp-7.jpg", "two seeds of a tray")
	require.Contains(t, files, "empty-1mp-2.jpg")
	require.Contains(t, files, "empty-2mp-3.jpg", "the other half is larger")

	var together []shot
	for _, piece := range pieces(shots) {
		for _, s := range piece {
			require.Equal(t, piece[0].group, s.group)
		}
		together = append(together, piece...)
	}
	require.Equal(t, shots, together, "each once, in order")
	o.seeds, o.large, o.kinds, o.symbols, o.trays = make([]uint64, 20), nil, threeKinds[:1], []string{"qr"}, false
	sizes := []int{}
	for _, piece := range pieces(o.shots()) {
		sizes = append(sizes, len(piece))
	}
	require.Equal(t, []int{8, 8, 4}, sizes)
	require.Empty(t, pieces(nil))
}
