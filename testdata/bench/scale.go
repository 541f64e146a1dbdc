package main

import (
	"context"
	"fmt"
	"io"
	"math"

	"graftslip/testdata/machine"
)

// scale prints ever more labels and tells how the time grows with them.
func (w *workshop) scale(ctx context.Context, out io.Writer, sizes []int) error {
	fmt.Fprintln(out, "| labels | µs a label | peak MB | bytes a label |\n|---|---|---|---|")
	var seconds []float64
	for _, n := range sizes {
		batches, err := makeBatches(n)
		if err != nil {
			return err
		}
		e, err := w.graftslip(batches)
		if err != nil {
			return err
		}
		fmt.Fprintf(w.progress, "%d runs: graftslip, %d labels\n", w.repeat, n)
		c, err := fastest(w.repeat, func() (cost, error) { return e.run(ctx) })
		if err != nil {
			return err
		}
		files, err := filesOf(e.stems)
		if err != nil {
			return err
		}
		size, err := sizeOf(files)
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "| %s | %s | %s | %s |\n", thousands(int64(n)), perLabel(c.wall, n), megabytes(c.peak), thousands(size/int64(n)))
		seconds = append(seconds, c.wall.Seconds())
	}
	_, err := fmt.Fprintf(out, "\nThe time grows with the power %.2f of the labels (least squares on logarithms).\n\n%s\n", exponent(sizes, seconds), machine.Line(ctx, nil))
	return err
}

// exponent fits log time = a + b log n by least squares and returns b. There are
// at least two different n, and all values are above 0.
func exponent(n []int, seconds []float64) float64 {
	var meanX, meanY float64
	for i := range n {
		meanX += math.Log(float64(n[i])) / float64(len(n))
		meanY += math.Log(seconds[i]) / float64(len(n))
	}
	var xy, xx float64
	for i := range n {
		x := math.Log(float64(n[i])) - meanX
		xy += x * (math.Log(seconds[i]) - meanY)
		xx += x * x
	}
	return xy / xx
}
