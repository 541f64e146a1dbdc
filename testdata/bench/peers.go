package main

import (
	"context"
	"debug/buildinfo"
	"embed"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// scripts are the peers that are not written in Go.
//
//go:embed package.json package-lock.json pdfkit.mjs sheets_reportlab.py
var scripts embed.FS

// peer is another way to print the same labels.
type peer struct {
	name string
	part int // it prints one label of so many
	// ready returns the command, to which LABELS REGULAR.ttf BOLD.ttf OUT.pdf are
	// added, and what it is made of.
	ready func(context.Context, *workshop) (command []string, versions string, err error)
}

func peers() []peer {
	return []peer{
		{"gofpdf", 1, readyGofpdf},
		{"pdfkit", 1, readyPdfkit},
		{"reportlab", 10, readyReportlab},
	}
}

func peerNames() []string {
	var names []string
	for _, p := range peers() {
		names = append(names, p.name)
	}
	return names
}

func readyGofpdf(ctx context.Context, w *workshop) ([]string, string, error) {
	program := w.path("gofpdf")
	if err := w.command(ctx, "go", "build", "-o", program, "graftslip/testdata/bench/gofpdf"); err != nil {
		return nil, "", err
	}
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return nil, "", err
	}
	var versions []string
	for _, library := range info.Deps {
		if strings.HasSuffix(library.Path, "/gofpdf") || strings.HasSuffix(library.Path, "/barcode") {
			versions = append(versions, strings.TrimPrefix(library.Path, "github.com/")+" "+library.Version)
		}
	}
	return []string{program}, strings.Join(versions, ", "), nil
}

func readyPdfkit(ctx context.Context, w *workshop) ([]string, string, error) {
	node, err := exec.LookPath("node")
	if err != nil {
		return nil, "", err
	}
	for _, name := range []string{"package.json", "package-lock.json", "pdfkit.mjs"} {
		if err := w.take(name); err != nil {
			return nil, "", err
		}
	}
	if err := w.command(ctx, "npm", "ci", "--prefix", w.folder, "--no-audit", "--no-fund"); err != nil {
		return nil, "", err
	}
	data, err := scripts.ReadFile("package.json")
	if err != nil {
		return nil, "", err
	}
	var pinned struct {
		Dependencies struct{ Pdfkit, Qrcode string }
	}
	if err := json.Unmarshal(data, &pinned); err != nil {
		return nil, "", err
	}
	return []string{node, w.path("pdfkit.mjs")}, "pdfkit " + pinned.Dependencies.Pdfkit + ", qrcode " + pinned.Dependencies.Qrcode, nil
}

func readyReportlab(ctx context.Context, w *workshop) ([]string, string, error) {
	if err := w.take("sheets_reportlab.py"); err != nil {
		return nil, "", err
	}
	// The distribution's own interpreter first: packaged modules live there.
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		version, err := exec.CommandContext(ctx, python, "-c", "import reportlab; print(reportlab.__version__)").Output()
		if err == nil {
			return []string{python, w.path("sheets_reportlab.py")}, "reportlab " + strings.TrimSpace(string(version)), nil
		}
	}
	return nil, "", fmt.Errorf("no python3 has the module reportlab")
}

// take copies a script into the workshop.
func (w *workshop) take(name string) error {
	data, err := scripts.ReadFile(name)
	if err != nil {
		return err
	}
	return os.WriteFile(w.path(name), data, 0o600)
}
