package main

import (
	"encoding/json"
	"os"
	"path/filepath"

	"graftslip/testdata/photos"
)

// keeper writes down what stands on the photographs that are kept.
type keeper struct {
	folder string
	truth  []truth
}

// truth is what stands on a photograph, as it is written to truth.json.
type truth struct {
	File       string      `json:"file"`
	Kind       string      `json:"kind"`
	Symbol     string      `json:"symbol"`
	Megapixels float64     `json:"megapixels"`
	Seed       uint64      `json:"seed"`
	Width      int         `json:"width"`
	Height     int         `json:"height"`
	Codes      []codeTruth `json:"codes"`
}

// codeTruth is a symbol on it: corners and modules in pixels, as in photos.Code.
type codeTruth struct {
	Text    string        `json:"text"`
	Corners [4][2]float64 `json:"corners"`
	Module  float64       `json:"module"`
}

func (k *keeper) add(s shot, photo photos.Photo) {
	t := truth{s.file(), string(photo.Kind), photo.Symbol, s.megapixels, s.seed, photo.Size.X, photo.Size.Y, []codeTruth{}}
	for _, code := range photo.Codes {
		t.Codes = append(t.Codes, codeTruth(code))
	}
	k.truth = append(k.truth, t)
}

// write writes truth.json into the folder of the photographs.
func (k *keeper) write() error {
	data, err := json.MarshalIndent(k.truth, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(k.folder, "truth.json"), append(data, '\n'), 0o600)
}
