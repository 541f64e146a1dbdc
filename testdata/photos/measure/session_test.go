package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/testdata/photos"
)

// The whole of it with slipread alone, on plain pictures.
func TestMeasure(t *testing.T) {
	o := options{
		seeds: []uint64{1, 2, 3}, large: []uint64{4}, kinds: []photos.Kind{"plain", "out of focus"}, symbols: symbols(),
		readers: []string{slipread}, empty: 3, keep: filepath.Join(t.TempDir(), "kept"),
	}
	var out, said bytes.Buffer
	require.NoError(t, measure(context.Background(), o, plainCamera{t: t, blank: "out of focus"}, &out, &said))
	require.Empty(t, said.String(), "it is no terminal")
	text := out.String()
	require.Contains(t, text, "| plain | 4 of 4 | 4 of 4 | 4 of 4 |\n")
	require.Contains(t, text, "| out of focus | 0 of 4 | 0 of 4 | 0 of 4 |\n")
	require.Contains(t, text, "| share at 2 megapixels | 50.0 % | 50.0 % | 50.0 % |\n")
	require.Contains(t, text, "slipread reads 0 texts on 3 photographs without a code.\n")
	require.Contains(t, text, "Wrong texts: slipread 0.\n")
	require.Regexp(t, `\d cores; go1\.\S+; (.*; )?\d{4}-\d\d-\d\d\n$`, text)

	data, err := os.ReadFile(filepath.Join(o.keep, "truth.json"))
	require.NoError(t, err)
	var kept []truth
	require.NoError(t, json.Unmarshal(data, &kept))
	require.Len(t, kept, 2*3*4+3)
	for _, k := range kept {
		require.FileExists(t, filepath.Join(o.keep, k.File))
	}
	require.Equal(t, truth{"plain-qr-2mp-1.jpg", "plain", "qr", small, 1, 240, 240, []codeTruth{{Text: codeOf(t, 1), Module: module}}}, kept[0])

	trays := options{large: []uint64{4, 5, 6}, symbols: []string{scan.QR}, readers: []string{slipread}, trays: true}
	out.Reset()
	require.NoError(t, measure(context.Background(), trays, plainCamera{t: t}, &out, &said))
	require.Contains(t, out.String(), "| 12 | QR | 24 of 24 | ")
	require.Contains(t, out.String(), "| 65 | QR | 130 of 130 | ")
}

// A reader that reads one thing more than slipread, or slipread reading what is
// not there, makes the command fail after its tables.
func TestSessionCountsAndRemoves(t *testing.T) {
	var running, most atomic.Int32
	var mutex sync.Mutex
	batches := map[string][]int{}
	says := func(name, text string, alone bool) reader {
		read := func(_ context.Context, symbol string, codes int, files []string) ([]answer, error) {
			if n := running.Add(1); alone && n > most.Load() {
				most.Store(n)
			}
			defer running.Add(-1)
			answers := make([]answer, len(files))
			for i, file := range files {
				if _, err := os.Stat(file); err != nil {
					return nil, err
				}
				answers[i].texts = []string{text}
			}
			mutex.Lock()
			batches[name] = append(batches[name], len(files))
			mutex.Unlock()
			return answers, nil
		}
		return reader{name: name, symbols: []string{scan.QR}, alone: alone, read: read}
	}
	folder := t.TempDir()
	steps := 0
	s := session{
		camera: plainCamera{t: t}, readers: []reader{says(slipread, "no", false), says("owl", codeOf(t, 2), true), says("toad", codeOf(t, 3), false)},
		timing: true, folder: folder, step: func() { steps++ }, tally: newTally(),
		peak: func(_ context.Context, file string) (int64, error) {
			require.FileExists(t, file)
			return int64(len(file)), nil
		},
	}
	o := options{seeds: []uint64{1, 2}, large: []uint64{2, 30}, kinds: []photos.Kind{"plain"}, symbols: []string{scan.QR}}
	require.NoError(t, s.run(context.Background(), o.shots()))
	require.Equal(t, 4, steps)
	require.Equal(t, map[string][]int{slipread: {2, 1, 1}, "owl": {2, 1, 1}, "toad": {2, 1, 1}}, batches, "large ones are timed one by one")
	require.Equal(t, int32(1), most.Load(), "nothing runs beside a reader with a time limit")
	require.Equal(t, count{1, 2}, s.tally.counts[key{group{"plain", scan.QR, 1, small}, "owl"}])
	require.Equal(t, count{1, 2}, s.tally.counts[key{group{"plain", scan.QR, 1, large}, "owl"}])
	require.Equal(t, 2, s.tally.wrongOf("owl"))
	laps := s.tally.laps[key{group{"plain", scan.QR, 1, large}, "toad"}]
	require.Len(t, laps, 2)
	require.Positive(t, laps[0].reading)
	require.Equal(t, int64(len(filepath.Join(folder, "plain-qr-12mp-30.jpg"))), s.tally.peak)
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Empty(t, left)
	_, err = report(s.tally, o, s.readers)
	require.ErrorContains(t, err, "in 1 places")
	require.ErrorContains(t, err, "4 texts that do not stand there")
}

func TestSessionErrors(t *testing.T) {
	fault := errors.New("the lens is dirty")
	o := options{seeds: []uint64{1}, kinds: []photos.Kind{"plain"}, symbols: []string{scan.QR}}
	s := session{camera: brokenCamera{plainCamera{t: t}, fault}, folder: t.TempDir(), step: func() {}, tally: newTally()}
	err := s.run(context.Background(), o.shots())
	require.ErrorIs(t, err, fault)
	require.ErrorContains(t, err, "plain-qr-2mp-1.jpg: ")

	ended, end := context.WithCancel(context.Background())
	end()
	s.camera = plainCamera{t: t}
	require.ErrorIs(t, s.run(ended, o.shots()), context.Canceled)

	o.readers = []string{"zbar"}
	t.Setenv("PATH", t.TempDir())
	t.Setenv("GRAFTSLIP_OUTSIDE", "")
	err = measure(context.Background(), o, s.camera, &strings.Builder{}, &strings.Builder{})
	require.ErrorContains(t, err, "there is no reader: zbar is left out")
}

type brokenCamera struct {
	plainCamera
	fault error
}

func (c brokenCamera) Take(photos.Kind, string, float64, uint64) (photos.Photo, error) {
	return photos.Photo{}, c.fault
}
