package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"graftslip/layouts"
	"graftslip/records"
)

// batchLine is a batch in a summary as JSON.
type batchLine struct {
	Code    string `json:"code"`
	Date    string `json:"date"`
	Variety string `json:"variety"`
	Stock   string `json:"stock"`
	Grafts  int    `json:"grafts"`
}

func newBatchLine(b records.Batch) batchLine {
	return batchLine{b.Code.String(), b.Date.Format(time.DateOnly), b.Variety, b.Stock, b.Grafts}
}

// printed is what both summaries report of the files as JSON.
type printed struct {
	Stems     int      `json:"stems"`
	Trays     int      `json:"trays"`
	Sheets    int      `json:"sheets"`
	StemsLeft string   `json:"stems_left"` // positions on the last sheet, as in 3,5-8
	TraysLeft string   `json:"trays_left"`
	Files     []string `json:"files"`
}

func (p *press) printed() printed {
	all := printed{
		Stems: p.stemPile.count, Trays: p.trayPile.count, Sheets: p.stemPile.Sheets(p.stemPile.count) + p.trayPile.Sheets(p.trayPile.count),
		StemsLeft: p.stemPile.left().String(), TraysLeft: p.trayPile.left().String(), Files: []string{},
	}
	for _, pile := range p.piles() {
		all.Files = append(all.Files, pile.paths()...)
	}
	return all
}

func (p *press) summaryJSON(w io.Writer, issued []records.Issued) error {
	type line struct {
		batchLine
		State string `json:"state"`
	}
	summary := struct {
		Batches []line `json:"batches"`
		printed
	}{printed: p.printed()}
	for _, i := range issued {
		summary.Batches = append(summary.Batches, line{newBatchLine(i.Batch), i.State.String()})
	}
	return json.NewEncoder(w).Encode(summary)
}

func (p *press) summary(w io.Writer, issued []records.Issued) error {
	count := map[records.State]int{}
	var notes strings.Builder
	for _, i := range issued {
		count[i.State]++
		said := i.Notes
		if i.State == records.Extended {
			added := records.Range(i.Before+1, i.Grafts)
			said = append([]string{fmt.Sprintf("new stems %v; graftslip reprint %s %v prints only their labels", added, i.Code.BatchName(), added)}, said...)
		}
		for _, note := range said {
			fmt.Fprintf(&notes, "row %d, %s: %s\n", i.Row, records.Pair(i.Variety, i.Batch.Stock), note)
		}
	}
	_, err := fmt.Fprintf(w, "rows: %d (new %d, known %d, extended %d, kept %d)\n%s%s",
		len(issued), count[records.New], count[records.Known], count[records.Extended], count[records.Kept], notes.String(), p.filesWords())
	return err
}

// filesWords list what is in the files, what is left of the sheets, and where
// the ledger is, if one was opened.
func (p *press) filesWords() string {
	var said strings.Builder
	for _, pile := range p.piles() {
		if pile.count == 0 {
			continue
		}
		stock := pile.options.Stock
		fmt.Fprintf(&said, "%s: %d, sheets of %s: %d, %s%s\n", pile.what, pile.count, stock.Name, pile.Sheets(pile.count),
			left(pile.left(), stock), strings.Join(pile.paths(), ", "))
	}
	for _, line := range p.proofs {
		fmt.Fprintln(&said, line)
	}
	if p.ledger != "" {
		fmt.Fprintf(&said, "ledger: %s\n", p.ledger)
	}
	return said.String()
}

// left lists the positions of the last sheet that are free for --start; nothing of
// label stock with one label to a sheet.
func left(free records.Numbers, stock layouts.Stock) string {
	switch {
	case stock.Count() == 1:
		return ""
	case len(free) == 0:
		return "positions left: 0, "
	}
	return fmt.Sprintf("positions left: %d (%s), ", len(free), free)
}
