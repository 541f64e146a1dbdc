package main

import (
	"fmt"
	"strings"
	"time"
)

// row is what one program took for its labels.
type row struct {
	name   string
	labels int
	cost   cost
	bytes  int64  // of the PDF of stem labels
	read   string // what was read back of it, empty when nothing was
}

// table writes rows in Markdown. Times are told in multiples of the first row,
// label for label.
func table(rows []row) string {
	var b strings.Builder
	b.WriteString("| printed by | labels | µs a label | times graftslip | processor µs a label | peak MB | bytes a label | read back |\n")
	b.WriteString("|---|---|---|---|---|---|---|---|\n")
	for _, r := range rows {
		fmt.Fprintf(&b, "| %s | %s | %s | %.1f | %s | %s | %s | %s |\n", r.name, thousands(int64(r.labels)), perLabel(r.cost.wall, r.labels),
			(r.cost.wall.Seconds()/float64(r.labels))/(rows[0].cost.wall.Seconds()/float64(rows[0].labels)),
			perLabel(r.cost.processor, r.labels), megabytes(r.cost.peak), thousands((r.bytes+int64(r.labels)/2)/int64(r.labels)), r.read)
	}
	return b.String()
}

// perLabel tells microseconds a label: below ten with one digit behind the point.
func perLabel(d time.Duration, labels int) string {
	each := float64(d) / float64(time.Microsecond) / float64(labels)
	if each < 10 {
		return fmt.Sprintf("%.1f", each)
	}
	return thousands(int64(each + 0.5))
}

// megabytes of 1,000,000 bytes.
func megabytes(bytes int64) string { return thousands((bytes + 500_000) / 1_000_000) }

// thousands writes a number of at least 0 with a comma before each three digits.
func thousands(n int64) string {
	if n < 1000 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%s,%03d", thousands(n/1000), n%1000)
}
