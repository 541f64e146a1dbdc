package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/cmd/slipread/internal/plot"
	"graftslip/records"
	"graftslip/records/manifest/sheet"
	"graftslip/records/plan/forecast"
)

// writeFiles writes the plot and the table, both or neither, and returns what to report.
func (r *rates) writeFiles(f ratesFlags, ledger string) (said string, err error) {
	var files []ratesFile
	if f.plot != "" && len(r.Groups) > 0 {
		chart, left := chartOf(r.Rates)
		if days := r.days(); days != "" {
			chart.Notes = append(chart.Notes, days)
		}
		about := records.Counted(len(chart.Rows), "group")
		if left > 0 {
			about = fmt.Sprintf("the %s with the most grafts; %d left out", about, left)
		}
		write := chart.PNG
		if strings.EqualFold(filepath.Ext(f.plot), ".svg") {
			write = chart.SVG
		}
		files = append(files, ratesFile{f.plot, write})
		said += fmt.Sprintf("plot: %s (%s)\n", f.plot, about)
	} else if f.plot != "" {
		said += fmt.Sprintf("plot: %s was not written: there is no group to plot\n", f.plot)
	}
	if f.csv != "" && f.csv != "-" {
		files = append(files, ratesFile{f.csv, r.writeCSV})
		said += fmt.Sprintf("table: %s (%s)\n", f.csv, records.Counted(len(r.Groups), "group"))
	}
	return said, keepAll(files, ledger)
}

// ratesFile is a file to be written.
type ratesFile struct {
	path  string
	write func(io.Writer) error
}

// keepAll writes files about a ledger, and gives them their names when all are written.
func keepAll(files []ratesFile, ledger string) error {
	var waiting []*command.Staged
	for _, file := range files {
		var content bytes.Buffer // an error of the content is not one of the file
		if err := file.write(&content); err != nil {
			return err
		}
		staged, err := command.Stage(filepath.Dir(file.path), ledger)
		if err != nil {
			return err
		}
		defer staged.Discard()
		waiting = append(waiting, staged)
		if err := staged.Write(filepath.Base(file.path), func(w io.Writer) error {
			_, err := content.WriteTo(w)
			return err
		}); err != nil {
			return err
		}
	}
	for _, staged := range waiting {
		if _, err := staged.Keep(); err != nil {
			return err
		}
	}
	return nil
}

// chartOf is the plot of takes, and how many groups are left out of it.
func chartOf(r forecast.Rates) (plot.Chart, int) {
	var rows []plot.Row
	for _, g := range r.Groups {
		row := plot.Row{Name: g.Name, Low: g.Low, Share: g.Share(), High: g.High, Grafts: g.Grafts}
		if p := g.Pooled; p != nil {
			row.Expected = &plot.Expected{Low: p.Low, Mean: p.Mean, High: p.High}
		}
		rows = append(rows, row)
	}
	kept, left := plot.Fit(rows)
	chart := plot.Chart{Title: "Grafts that became plants, by " + r.By.String(), Rows: kept, Level: r.Level}
	note := fmt.Sprintf("%d of %s in %s", r.Total.Finished, records.Counted(r.Total.Grafts, "graft"), records.Counted(r.Total.Batches, "batch"))
	if left > 0 {
		note += fmt.Sprintf("; the %d groups with the most grafts, %d left out", len(kept), left)
	}
	chart.Notes = []string{note}
	return chart, left
}

// plotOf is the plot of takes as an SVG.
func plotOf(r forecast.Rates) ([]byte, error) {
	chart, _ := chartOf(r)
	var drawn bytes.Buffer
	err := chart.SVG(&drawn)
	return drawn.Bytes(), err
}

// days says which batches were chosen; "" for all.
func (r *rates) days() string {
	var parts []string
	for _, part := range []struct{ what, text string }{
		{"grafted since", r.day(r.flags.since)}, {"grafted until", r.day(r.flags.until)},
		{"variety", r.flags.variety}, {"rootstock", r.flags.stock},
	} {
		if part.text != "" {
			parts = append(parts, part.what+" "+part.text)
		}
	}
	return strings.Join(parts, ", ")
}

// writeCSV writes a line for each group (RFC 4180, numbers with a point).
func (r *rates) writeCSV(out io.Writer) error {
	table := csv.NewWriter(out)
	table.UseCRLF = true
	lines := [][]string{{"name", "variety", "stock", "batches", "grafts", "finished", "share", "low", "high",
		"expected", "expected_low", "expected_high", "batches_of_pair", "batches_of_stock", "batches_of_variety", "batches_in_all", "within_chance_of_first"}}
	for i, g := range r.Groups {
		line := []string{g.Name, g.Variety, g.Stock, strconv.Itoa(g.Batches), strconv.Itoa(g.Grafts), strconv.Itoa(g.Finished),
			fourDecimals(g.Share()), fourDecimals(g.Low), fourDecimals(g.High)}
		expected := make([]string, 7)
		if p := g.Pooled; p != nil {
			b := p.Basis
			expected = []string{fourDecimals(p.Mean), fourDecimals(p.Low), fourDecimals(p.High), strconv.Itoa(b.Pair), strconv.Itoa(b.Stock), strconv.Itoa(b.Variety), strconv.Itoa(b.All)}
		}
		chance := ""
		if i > 0 {
			chance = strconv.FormatBool(g.WithinChance)
		}
		lines = append(lines, append(append(line, expected...), chance))
	}
	return sheet.WriteCSV(table, lines)
}

func fourDecimals(share float64) string { return strconv.FormatFloat(share, 'f', 4, 64) }
