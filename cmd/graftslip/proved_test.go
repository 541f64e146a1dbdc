package main

import (
	"bytes"
	"context"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/records"
)

// TestProvedBeforeItIsHandedOver draws labels of one batch, and proves them
// against it and against another.
func TestProvedBeforeItIsHandedOver(t *testing.T) {
	date := time.Date(2026, 11, 26, 0, 0, 0, 0, time.UTC)
	code, err := codes.New(date, 1)
	require.NoError(t, err)
	batch := records.Batch{Code: code, Draft: records.Draft{Date: date, Variety: "Paper Lighthouse", Stock: "Anchor", Grafts: 3}}
	other := batch
	other.Variety = "Tin Drummer"
	var stderr bytes.Buffer
	p, err := newPress(newSlipFlags(), "labels", &stderr)
	require.NoError(t, err)
	pieces := []piece{{batch: batch, stems: records.Range(1, 3)}}
	designs, _, err := p.designs(t.Context(), pieces)
	require.NoError(t, err)
	draw := func(w io.Writer) error {
		_, err := pdf.Write(w, pdf.Document{Language: "en", Date: date, Face: p.stemOptions.Face, Setup: labels.Setup{Stock: p.stems.Stock, DPI: 300}},
			stemLabels(designs, pieces))
		return err
	}

	write, err := p.proved(t.Context(), "labels.pdf", draw, pieces)
	require.NoError(t, err)
	var direct, handed bytes.Buffer
	require.NoError(t, draw(&direct))
	require.NoError(t, write(&handed))
	require.True(t, bytes.Equal(direct.Bytes(), handed.Bytes()))
	require.Len(t, p.proofs, 1)
	require.Contains(t, p.proofs[0], "proof of labels.pdf: pages 1, symbols 3, read 3, wrong 0, missing 0")

	_, err = p.proved(t.Context(), "labels.pdf", draw, []piece{{batch: other}})
	require.Error(t, err)
	command.Report(&stderr, err)
	require.Contains(t, stderr.String(), "error: labels.pdf, page 1, place 1, 26330-001-0001-61: ")
	require.Contains(t, stderr.String(), "hint: no file was written: mend these and print again")

	stopped, stop := context.WithCancel(t.Context())
	stop()
	_, err = p.proved(stopped, "labels.pdf", draw, pieces)
	require.ErrorIs(t, err, context.Canceled)
}
