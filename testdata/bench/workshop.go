package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
)

// workshop is a temporary folder with the built programs and the fonts.
type workshop struct {
	folder      string
	environment []string // without settings of the person who runs this
	repeat      int
	progress    io.Writer
}

func newWorkshop(ctx context.Context, progress io.Writer, repeat int) (*workshop, error) {
	folder, err := os.MkdirTemp("", "bench-")
	if err != nil {
		return nil, err
	}
	w := &workshop{folder: folder, repeat: repeat, progress: progress}
	if err := w.fill(ctx); err != nil {
		w.close()
		return nil, err
	}
	return w, nil
}

func (w *workshop) fill(ctx context.Context) error {
	fmt.Fprintln(w.progress, "building")
	w.environment = append(os.Environ(), "GRAFTSLIP_SETTINGS="+w.path("settings.toml"))
	for name, data := range map[string][]byte{
		"settings.toml": nil,
		"regular.ttf":   dejavusanscondensed.TTF,
		"bold.ttf":      dejavusanscondensedbold.TTF,
	} {
		if err := os.WriteFile(w.path(name), data, 0o600); err != nil {
			return err
		}
	}
	return w.command(ctx, "go", "build", "-o", w.folder+string(filepath.Separator), "graftslip/cmd/graftslip", "graftslip/cmd/slipread")
}

func (w *workshop) close() { os.RemoveAll(w.folder) }

func (w *workshop) path(name string) string { return filepath.Join(w.folder, name) }

// command runs what is not measured, and puts what it said into its error.
func (w *workshop) command(ctx context.Context, name string, args ...string) error {
	c := exec.CommandContext(ctx, name, args...)
	if said, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w\n%s", name, err, said)
	}
	return nil
}

// print measures graftslip print of the manifest into an empty folder with a
// new ledger, and holds the codes it gave against those of the batches. The
// caller removes the folder.
func (w *workshop) print(ctx context.Context, manifest string, batches []batch, folder string) (cost, error) {
	var said bytes.Buffer
	c, err := measure(ctx, nil, &said, w.environment, w.path("graftslip"), "print", manifest, "--out", folder, "--ledger", filepath.Join(folder, "ledger.db"),
		"--stems", "letter-2x10", "--label-wrap", "flag", "--symbol", "qr", "--dpi", "300", "--cautions=false", "--json")
	if err != nil {
		return cost{}, err
	}
	var summary struct {
		Batches []struct{ Code string }
	}
	if err := json.Unmarshal(said.Bytes(), &summary); err != nil {
		return cost{}, fmt.Errorf("graftslip print: %w", err)
	}
	if len(summary.Batches) != len(batches) {
		return cost{}, fmt.Errorf("graftslip printed %d batches, not %d", len(summary.Batches), len(batches))
	}
	for i, b := range batches {
		if got := summary.Batches[i].Code; got != b.code.String() {
			return cost{}, fmt.Errorf("graftslip gave batch %d the code %s, not %s: peers would print other labels", i+1, got, b.code)
		}
	}
	return c, nil
}
