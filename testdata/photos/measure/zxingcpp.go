package main

import (
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"
	"strings"

	"graftslip/codes/scan"
)

// zxingFormat is the name of a symbol in zxing-cpp and in zxing-wasm.
func zxingFormat(symbol string) string {
	return map[string]string{scan.QR: "QRCode", scan.DataMatrix: "DataMatrix", scan.Code128: "Code128"}[symbol]
}

// readyZxingCpp finds ZXingReader. Without its options -fast, -norotate and
// -noscale it tries all that it can; version 1.4 has none for light on dark.
func readyZxingCpp(ctx context.Context, _ string) (reading, string, error) {
	program, err := exec.LookPath("ZXingReader")
	if err != nil {
		return nil, "", err
	}
	read := func(ctx context.Context, symbol string, _ int, files []string) ([]answer, error) {
		return readZxingCpp(ctx, program, symbol, files)
	}
	// It does not tell its version, but the package that it came with does.
	return read, "zxing-cpp " + saidVersion(ctx, "dpkg-query", "--show", "--showformat=${Version}", "zxing-cpp-tools"), nil
}

// readZxingCpp lets one process read all files. Where version 1.4 meets a Code
// 128 more than once it may stop on an assertion of its own, and says nothing.
// Then each file gets a process, at last one with -fast, which meets it less
// often; what still stops is broken.
func readZxingCpp(ctx context.Context, program, symbol string, files []string, options ...string) ([]answer, error) {
	args := slices.Concat([]string{"-1", "-format", zxingFormat(symbol)}, options, files)
	out, err := output(ctx, nil, program, args...)
	switch {
	case err == nil:
		return parseZxingCpp(string(out), files)
	case !stopped(ctx, err):
		return nil, err
	case len(files) == 1 && len(options) == 0:
		return readZxingCpp(ctx, program, symbol, files, "-fast")
	case len(files) == 1:
		return []answer{{broken: true}}, nil
	}
	var answers []answer
	for _, file := range files {
		alone, err := readZxingCpp(ctx, program, symbol, []string{file})
		if err != nil {
			return nil, err
		}
		answers = append(answers, alone...)
	}
	return answers, nil
}

// stopped reports whether a program stopped by a signal that was not ours.
func stopped(ctx context.Context, err error) bool {
	var exit *exec.ExitError
	return ctx.Err() == nil && errors.As(err, &exit) && !exit.Exited()
}

// parseZxingCpp reads what ZXingReader writes with -1: for each symbol the name
// of the file, the format and the text in quotes, without quotes when the error
// correction failed; "None" when there is no symbol.
func parseZxingCpp(out string, files []string) ([]answer, error) {
	texts := map[string][]string{}
	for line := range strings.Lines(out) {
		line = strings.TrimRight(line, "\n")
		var of, said string
		for _, file := range files {
			if rest, found := strings.CutPrefix(line, file+" "); found {
				of, said = file, rest
			}
		}
		if of == "" {
			return nil, fmt.Errorf("ZXingReader: %q speaks of no file", line)
		}
		if _, spoken := texts[of]; !spoken {
			texts[of] = nil
		}
		if opening, closing := strings.IndexByte(said, '"'), strings.LastIndexByte(said, '"'); opening < closing {
			texts[of] = append(texts[of], said[opening+1:closing])
		}
	}
	return inOrder("ZXingReader", texts, files)
}
