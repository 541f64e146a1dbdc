package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/codes/scan"
)

// column is a reader of a symbol.
type column struct {
	symbol, reader string
}

func columns(o options, readers []reader) []column {
	var all []column
	for _, symbol := range o.symbols {
		for _, r := range readersOf(readers, symbol) {
			all = append(all, column{symbol, r.name})
		}
	}
	return all
}

func symbolName(symbol string) string {
	return map[string]string{scan.QR: "QR", scan.DataMatrix: "Data Matrix", scan.Code128: "Code 128"}[symbol]
}

// kindTable has a row for each kind of photograph, and shares below. Where
// slipread reads less than the best peer it has a star; behind is how often.
func kindTable(t *tally, o options, readers []reader) (text string, behind int) {
	var b strings.Builder
	head := []string{"photographs"}
	for _, c := range columns(o, readers) {
		head = append(head, symbolName(c.symbol)+": "+c.reader)
	}
	writeHead(&b, head)
	for _, kind := range o.kinds {
		row := []string{string(kind)}
		for _, c := range columns(o, readers) {
			wanted := func(g group) bool { return g.kind == kind && g.symbol == c.symbol }
			cell := t.sum(c.reader, wanted).String()
			if c.reader == slipread && t.behind(readers, wanted) {
				cell += "*"
				behind++
			}
			row = append(row, cell)
		}
		writeRow(&b, row)
	}
	for _, megapixels := range []float64{small, large} {
		row := []string{fmt.Sprintf("share at %g megapixels", megapixels)}
		for _, c := range columns(o, readers) {
			row = append(row, t.sum(c.reader, func(g group) bool {
				return g.kind != "" && g.symbol == c.symbol && g.megapixels == megapixels
			}).share())
		}
		writeRow(&b, row)
	}
	return b.String(), behind
}

// trayTable has a row for each number of codes and symbol, and a column for each
// reader, with the seconds a photograph takes it on the average.
func trayTable(t *tally, o options, readers []reader) (text string, behind int) {
	var b strings.Builder
	head := []string{"codes on a tray", "symbol"}
	for _, r := range readers {
		head = append(head, r.name, "seconds")
	}
	writeHead(&b, head)
	for _, codes := range o.trayCodes() {
		for _, symbol := range o.symbols {
			wanted := func(g group) bool { return g.kind == "" && g.codes == codes && g.symbol == symbol }
			row := []string{fmt.Sprint(codes), symbolName(symbol)}
			for _, r := range readers {
				laps := t.lapsOf(r.name, wanted)
				if len(laps) == 0 {
					row = append(row, "", "")
					continue
				}
				var took time.Duration
				for _, l := range laps {
					took += l.decoding + l.reading
				}
				cell := t.sum(r.name, wanted).String()
				if r.name == slipread && t.behind(readers, wanted) {
					cell += "*"
					behind++
				}
				row = append(row, cell, fmt.Sprintf("%.2f", took.Seconds()/float64(len(laps))))
			}
			writeRow(&b, row)
		}
	}
	return b.String(), behind
}

// timeTable has median and worst times for large photographs of one code.
func timeTable(t *tally, o options, readers []reader) string {
	var b strings.Builder
	head := []string{"one code at 12 megapixels, ms"}
	for _, symbol := range o.symbols {
		head = append(head, symbolName(symbol)+": median", "worst")
	}
	writeHead(&b, head)
	line := func(what, reader string, part func(lap) time.Duration) {
		row := []string{what}
		for _, symbol := range o.symbols {
			var took []time.Duration
			for _, l := range t.lapsOf(reader, func(g group) bool { return g.kind != "" && g.symbol == symbol }) {
				took = append(took, part(l))
			}
			if len(took) == 0 {
				row = append(row, "", "")
				continue
			}
			row = append(row, fmt.Sprint(median(took).Milliseconds()), fmt.Sprint(worst(took).Milliseconds()))
		}
		writeRow(&b, row)
	}
	for _, r := range readers {
		if r.name == slipread {
			line("slipread: reading pixels", r.name, func(l lap) time.Duration { return l.reading })
			line("slipread: decoding the JPEG before", r.name, func(l lap) time.Duration { return l.decoding })
			continue
		}
		line(r.name+": the whole process", r.name, func(l lap) time.Duration { return l.reading })
	}
	b.WriteString("\nslipread works on all processors.")
	if t.peak > 0 {
		fmt.Fprintf(&b, " As a program of its own it takes %d MB of memory at most for one of these photographs.", (t.peak+500_000)/1_000_000)
	}
	b.WriteString("\n")
	return b.String()
}

// wrongLine tells how many wrong texts each reader read, and which broke down.
func wrongLine(t *tally, readers []reader) string {
	var wrong, broken []string
	for _, r := range readers {
		wrong = append(wrong, fmt.Sprintf("%s %d", r.name, t.wrongOf(r.name)))
		if n := t.broken[r.name]; n > 0 {
			broken = append(broken, fmt.Sprintf(" %s broke down on %d photographs, which count as not read.", r.name, n))
		}
	}
	return "Wrong texts: " + strings.Join(wrong, ", ") + "." + strings.Join(broken, "")
}

// wrongList names each wrong text and its photograph, a line each.
func wrongList(t *tally) string {
	var lines []string
	for _, w := range t.wrong {
		lines = append(lines, fmt.Sprintf("%s: %s reads %q\n", w.file(), w.reader, w.text))
	}
	return strings.Join(slices.Sorted(slices.Values(lines)), "")
}

// String is empty where nothing was made.
func (c count) String() string {
	if c.made == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d", c.read, c.made)
}

// share is in per cent, and empty where nothing was made.
func (c count) share() string {
	if c.made == 0 {
		return ""
	}
	return fmt.Sprintf("%.1f %%", 100*float64(c.read)/float64(c.made))
}

func writeHead(b *strings.Builder, cells []string) {
	writeRow(b, cells)
	b.WriteString(strings.Repeat("|---", len(cells)) + "|\n")
}

func writeRow(b *strings.Builder, cells []string) {
	b.WriteString("| " + strings.Join(cells, " | ") + " |\n")
}
