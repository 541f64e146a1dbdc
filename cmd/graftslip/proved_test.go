package main

import (
	"bytes"
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
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
	p, err := newPress(newPressFlags(), "labels", &stderr)
	require.NoError(t, err)
	pieces := []piece{{batch: batch, label: batch, stems: records.Range(1, 3)}}
	staged, err := command.Stage(t.TempDir())
	require.NoError(t, err)
	defer staged.Discard()
	require.NoError(t, p.write(t.Context(), staged, pieces))

	require.NoError(t, p.prove(t.Context(), staged, pieces))
	require.Len(t, p.proofs, 1)
	require.Contains(t, p.proofs[0], "proof of labels-stems.pdf: pages 1, symbols 3, read 3, wrong 0, missing 0")

	err = p.prove(t.Context(), staged, []piece{{batch: other}})
	require.Error(t, err)
	command.Report(&stderr, err)
	require.Contains(t, stderr.String(), "error: labels-stems.pdf, page 1, position 1, 26330-001-0001-61: ")

	p.stemPile.parts[0].to = 4 // one that is not in the file
	require.ErrorContains(t, p.prove(t.Context(), staged, pieces), "labels-stems.pdf: only 3 of 4 labels or cards were read back")

	stopped, stop := context.WithCancel(t.Context())
	stop()
	require.ErrorIs(t, p.prove(stopped, staged, pieces), context.Canceled)
}
