package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"

	"graftslip/codes/scan"
	"graftslip/testdata/photos"
)

const (
	// seed is that of every photograph, the first of those without a code.
	seed = 9001
	// Sizes in megapixels: files are small enough to be kept.
	labelMegapixels = 0.3
	trayMegapixels  = 1.5
	// onTray is how many labels a tray has.
	onTray = 12
	// withoutCode is how many photographs have no code.
	withoutCode = 6
)

// truthFile stands in the folder of each kind.
const truthFile = "truth.json"

// shot is one photograph of the corpus.
type shot struct {
	kind   photos.Kind
	symbol string // "" without a code
	seed   uint64
}

func symbols() []string { return []string{scan.QR, scan.DataMatrix, scan.Code128} }

// single are the kinds that do one thing to a photograph.
func single() []photos.Kind {
	return []photos.Kind{
		photos.Plain, photos.Turned, photos.Perspective, photos.OutOfFocus, photos.Motion, photos.Dark, photos.Compressed, photos.Glare, photos.Drops,
		photos.Bent30, photos.Bent60, photos.Bent90, photos.Dirt, photos.Torn, photos.ShadowEdge, photos.Soil, photos.Faded, photos.Inverted,
	}
}

// shots lists the corpus, folder by folder.
func shots() [][]shot {
	var folders [][]shot
	for _, kind := range append(single(), photos.WholeTray) {
		var folder []shot
		for _, symbol := range symbols() {
			folder = append(folder, shot{kind, symbol, seed})
		}
		folders = append(folders, folder)
	}
	var empty []shot
	for i := range uint64(withoutCode) {
		empty = append(empty, shot{photos.NoCode, "", seed + i})
	}
	return append(folders, empty)
}

func (s shot) take(slips *photos.Slips) (photos.Photo, error) {
	switch s.kind {
	case photos.WholeTray:
		return slips.Tray(s.symbol, onTray, trayMegapixels, s.seed)
	case photos.NoCode:
		return slips.Empty(labelMegapixels, s.seed)
	}
	return slips.Take(s.kind, s.symbol, labelMegapixels, s.seed)
}

// file is the name of the photograph in the folder of its kind.
func (s shot) file() string {
	if s.symbol == "" {
		return fmt.Sprintf("%d.jpg", s.seed)
	}
	return fmt.Sprintf("%s-%d.jpg", s.symbol, s.seed)
}

// truth is what stands on a photograph, as truth.json says it.
type truth struct {
	File   string      `json:"file"`
	Symbol string      `json:"symbol"`
	Codes  []codeTruth `json:"codes"`
}

// codeTruth is a symbol on it, in pixels as in photos.Code, to a hundredth.
type codeTruth struct {
	Text    string        `json:"text"`
	Corners [4][2]float64 `json:"corners"`
	Module  float64       `json:"module"`
}

func truthOf(s shot, photo photos.Photo) truth {
	hundredths := func(v float64) float64 { return math.Round(100*v) / 100 }
	t := truth{s.file(), s.symbol, []codeTruth{}}
	for _, code := range photo.Codes {
		c := codeTruth{Text: code.Text, Module: hundredths(code.Module)}
		for i, corner := range code.Corners {
			c.Corners[i] = [2]float64{hundredths(corner[0]), hundredths(corner[1])}
		}
		t.Codes = append(t.Codes, c)
	}
	return t
}

// writeCorpus writes each photograph, and a truth.json into each folder.
func writeCorpus(ctx context.Context, slips *photos.Slips, root string) error {
	for _, shots := range shots() {
		folder := filepath.Join(root, shots[0].kind.Folder())
		var truths []truth
		for _, s := range shots {
			if ctx.Err() != nil {
				return context.Cause(ctx)
			}
			photo, err := s.take(slips)
			if err != nil {
				return fmt.Errorf("%s, %s: %w", s.kind, s.file(), err)
			}
			if err := write(filepath.Join(folder, s.file()), photo.JPEG); err != nil {
				return err
			}
			truths = append(truths, truthOf(s, photo))
		}
		said, err := json.MarshalIndent(truths, "", "  ")
		if err != nil {
			return err
		}
		if err := write(filepath.Join(folder, truthFile), append(said, '\n')); err != nil {
			return err
		}
	}
	return nil
}
