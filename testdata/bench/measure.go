package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"runtime"
	"syscall"
	"time"
)

// cost is what a process took.
type cost struct {
	wall      time.Duration
	processor time.Duration // user and system, all cores
	peak      int64         // bytes resident at most
}

// measure runs a command to its end. On Linux a process counts the peak of the
// one that started it as its own, so this program keeps no data: a measured
// peak below some 20 MB would be that of this program.
func measure(ctx context.Context, in io.Reader, out io.Writer, environment []string, program string, args ...string) (cost, error) {
	c := exec.CommandContext(ctx, program, args...)
	var complaint bytes.Buffer
	c.Stdin, c.Stdout, c.Stderr, c.Env = in, out, &complaint, environment
	begin := time.Now()
	err := c.Run()
	wall := time.Since(begin)
	if err != nil {
		return cost{}, fmt.Errorf("%s: %w\n%s", program, err, complaint.Bytes())
	}
	usage, ok := c.ProcessState.SysUsage().(*syscall.Rusage)
	if !ok {
		return cost{}, errors.New("this system does not tell what a process took")
	}
	peak := int64(usage.Maxrss) // kilobytes, on macOS bytes: getrusage(2) of each
	if runtime.GOOS != "darwin" {
		peak *= 1024
	}
	return cost{wall, c.ProcessState.UserTime() + c.ProcessState.SystemTime(), peak}, nil
}

// fastest returns the cost with the shortest wall time of repeated runs.
func fastest(repeat int, run func() (cost, error)) (cost, error) {
	var best cost
	for i := range repeat {
		c, err := run()
		if err != nil {
			return cost{}, err
		}
		if i == 0 || c.wall < best.wall {
			best = c
		}
	}
	return best, nil
}
