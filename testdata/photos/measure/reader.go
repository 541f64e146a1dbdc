package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os/exec"
	"slices"
	"strings"

	"graftslip/codes/scan"
)

// reader reads the symbols on photographs.
type reader struct {
	name    string
	symbols []string // that it is asked for
	// alone: it stops after a time of the clock, so nothing else may run beside it.
	alone bool
	// ready makes it ready in a folder of its own, and returns what reads, and a
	// version for the reader of the tables, "" for this project's own. The error
	// is a missing program.
	ready func(ctx context.Context, folder string) (read reading, version string, err error)
	read  reading // nil until it is ready
}

// reading reads photographs that have this many codes with this symbol, and
// returns what it read of each.
type reading func(ctx context.Context, symbol string, codes int, files []string) ([]answer, error)

// answer is what was read of one photograph. The lap is empty when it has to be
// measured from outside.
type answer struct {
	texts  []string
	lap    lap
	broken bool // the reader broke down, and counts as having read nothing
}

// slipread is the name of this project's own reader.
const slipread = "slipread"

// readers lists this project's own and its peers.
func readers() []reader {
	return []reader{
		{name: slipread, symbols: symbols(), ready: readyOwn},
		{name: "zbar", symbols: []string{scan.QR, scan.Code128}, ready: readyZbar},
		{name: "libdmtx", symbols: []string{scan.DataMatrix}, alone: true, ready: readyLibdmtx},
		{name: "zxing-cpp", symbols: symbols(), ready: readyZxingCpp},
		{name: "zxing-wasm", symbols: symbols(), ready: readyZxingWasm},
	}
}

func names() []string {
	var all []string
	for _, r := range readers() {
		all = append(all, r.name)
	}
	return all
}

// readersOf are those that read a symbol.
func readersOf(all []reader, symbol string) []reader {
	return slices.DeleteFunc(slices.Clone(all), func(r reader) bool { return !slices.Contains(r.symbols, symbol) })
}

// readyReaders makes the named readers ready, each in a folder that newFolder
// makes. One that is missing is left out and gets a note, unless it is required.
func readyReaders(ctx context.Context, named []string, required bool, newFolder func(name string) (string, error)) (ready []reader, versions, notes []string, err error) {
	for _, r := range readers() {
		if !slices.Contains(named, r.name) {
			continue
		}
		folder, err := newFolder(r.name)
		if err != nil {
			return nil, nil, nil, err
		}
		var version string
		r.read, version, err = r.ready(ctx, folder)
		if err != nil && required {
			return nil, nil, nil, fmt.Errorf("%s is missing and GRAFTSLIP_OUTSIDE=required: %w", r.name, err)
		}
		if err != nil {
			reason, _, _ := strings.Cut(err.Error(), "\n")
			notes = append(notes, fmt.Sprintf("%s is left out: %s.", r.name, reason))
			continue
		}
		ready = append(ready, r)
		if version != "" {
			versions = append(versions, version)
		}
	}
	return ready, versions, notes, nil
}

// output runs a program and returns what it wrote. An exit code among nothing
// says that nothing was read, and is no error.
func output(ctx context.Context, nothing []int, program string, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, program, args...)
	var complaint bytes.Buffer
	c.Stderr = &complaint
	out, err := c.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) && slices.Contains(nothing, exit.ExitCode()) {
		return out, nil
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w\n%s", program, err, complaint.Bytes())
	}
	return out, nil
}

// saidVersion is the first word with a point and a digit that a program says
// about itself.
func saidVersion(ctx context.Context, program string, args ...string) string {
	out, err := exec.CommandContext(ctx, program, args...).CombinedOutput()
	if err != nil {
		return "of unknown version"
	}
	for _, word := range strings.Fields(string(out)) {
		if strings.ContainsRune(word, '.') && strings.ContainsAny(word[:1], "0123456789") {
			return word
		}
	}
	return "of unknown version"
}
