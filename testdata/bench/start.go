package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"graftslip/testdata/machine"
)

const (
	startRuns   = 20
	streamCodes = 20_000
)

// start measures how soon the programs answer, and how many codes a second
// slipread looks up in a ledger that gave them all.
func (w *workshop) start(ctx context.Context, out io.Writer) error {
	for _, program := range []string{"graftslip", "slipread"} {
		c, err := fastest(startRuns, func() (cost, error) {
			return measure(ctx, nil, nil, w.environment, w.path(program), "--help")
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(out, "%s --help: %.1f ms, best of %d\n", program, float64(c.wall)/float64(time.Millisecond), startRuns)
	}
	batches, err := makeBatches(streamCodes)
	if err != nil {
		return err
	}
	e, err := w.graftslip(batches)
	if err != nil {
		return err
	}
	if _, err := e.run(ctx); err != nil {
		return err
	}
	typed := w.path("codes.txt")
	if err := writeFile(typed, batches, writeCodes); err != nil {
		return err
	}
	c, err := fastest(w.repeat, func() (cost, error) { return w.stream(ctx, typed, filepath.Join(filepath.Dir(e.stems), "ledger.db")) })
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(out, "slipread -: %s codes a second, %s codes of a ledger with %s batches, %s MB at most, best of %d\n\n%s\n",
		thousands(int64(streamCodes/c.wall.Seconds())), thousands(streamCodes), thousands(int64(len(batches))), megabytes(c.peak), w.repeat, machine.Line(ctx, nil))
	return err
}

// stream lets slipread read a file of codes, and counts its answers.
func (w *workshop) stream(ctx context.Context, typed, ledger string) (cost, error) {
	in, err := os.Open(typed)
	if err != nil {
		return cost{}, err
	}
	defer in.Close()
	answers, err := os.Create(w.path("answers.txt"))
	if err != nil {
		return cost{}, err
	}
	defer answers.Close()
	c, err := measure(ctx, in, answers, w.environment, w.path("slipread"), "--ledger", ledger, "-")
	if err != nil {
		return cost{}, err
	}
	said, err := os.ReadFile(answers.Name())
	if err != nil {
		return cost{}, err
	}
	if lines := bytes.Count(said, []byte("\n")); lines != streamCodes {
		return cost{}, fmt.Errorf("slipread answered %d codes of %d", lines, streamCodes)
	}
	return c, nil
}

// goBenchmarks runs those that measure inside a process: codes given to 10,000
// batches, look-ups, and repairs against a million batches.
func goBenchmarks(ctx context.Context, out io.Writer) error {
	c := exec.CommandContext(ctx, "go", "test", "-run", "^$", "-bench", "Issue|Find|Known|Open|BenchmarkRepair", "graftslip/records/ledger", "graftslip/cmd/slipread")
	c.Stdout, c.Stderr = out, out
	return c.Run()
}
