package main

import (
	"context"
	"fmt"
	"os/exec"
	"strconv"
	"strings"
)

// readyLibdmtx finds dmtxread. It looks for the square symbols that slips have,
// until it has as many as there are or its time is up. Its output does not name
// files, so it gets one at a time. Exit code 1 says that there was no symbol.
func readyLibdmtx(ctx context.Context, _ string) (reading, string, error) {
	program, err := exec.LookPath("dmtxread")
	if err != nil {
		return nil, "", err
	}
	read := func(ctx context.Context, _ string, codes int, files []string) ([]answer, error) {
		var answers []answer
		for _, file := range files {
			out, err := output(ctx, []int{1}, program, "--newline", "--symbol-size=s", "--stop-after="+strconv.Itoa(codes),
				"--milliseconds="+strconv.Itoa(dmtxMilliseconds(codes)), file)
			if err != nil {
				return nil, err
			}
			answers = append(answers, answer{texts: parseLibdmtx(string(out))})
		}
		return answers, nil
	}
	version := fmt.Sprintf("libdmtx %s with %g s for a code", saidVersion(ctx, program, "--version"), float64(dmtxMilliseconds(1))/1000)
	return read, version, nil
}

// dmtxMilliseconds is the time limit for a photograph with this many codes.
func dmtxMilliseconds(codes int) int { return 2000 + 500*(codes-1) }

// parseLibdmtx reads what dmtxread writes with --newline.
func parseLibdmtx(out string) []string {
	var texts []string
	for line := range strings.Lines(out) {
		texts = append(texts, strings.TrimSuffix(line, "\n"))
	}
	return texts
}
