package main

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
)

// script reads photographs with zxing-wasm in Node.
//
//go:embed package.json package-lock.json zxing_wasm.mjs
var script embed.FS

// readyZxingWasm installs the versions of package-lock.json in the folder.
func readyZxingWasm(ctx context.Context, folder string) (reading, string, error) {
	node, err := exec.LookPath("node")
	if err != nil {
		return nil, "", err
	}
	for _, name := range []string{"package.json", "package-lock.json", "zxing_wasm.mjs"} {
		data, err := script.ReadFile(name)
		if err != nil {
			return nil, "", err
		}
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o600); err != nil {
			return nil, "", err
		}
	}
	if _, err := output(ctx, nil, "npm", "ci", "--prefix", folder, "--no-audit", "--no-fund"); err != nil {
		return nil, "", err
	}
	data, err := script.ReadFile("package.json")
	if err != nil {
		return nil, "", err
	}
	var pinned struct {
		Dependencies map[string]string
	}
	if err := json.Unmarshal(data, &pinned); err != nil {
		return nil, "", err
	}
	read := func(ctx context.Context, symbol string, _ int, files []string) ([]answer, error) {
		args := append([]string{filepath.Join(folder, "zxing_wasm.mjs"), zxingFormat(symbol)}, files...)
		out, err := output(ctx, nil, node, args...)
		if err != nil {
			return nil, err
		}
		return parseZxingWasm(out, files)
	}
	return read, "zxing-wasm " + pinned.Dependencies["zxing-wasm"], nil
}

// parseZxingWasm reads what the script writes: an object for each file.
func parseZxingWasm(out []byte, files []string) ([]answer, error) {
	texts := map[string][]string{}
	for in := json.NewDecoder(bytes.NewReader(out)); ; {
		var said struct {
			File  string
			Texts []string
		}
		if err := in.Decode(&said); errors.Is(err, io.EOF) {
			return inOrder("zxing-wasm", texts, files)
		} else if err != nil {
			return nil, fmt.Errorf("zxing-wasm: %w", err)
		}
		texts[said.File] = said.Texts
	}
}
