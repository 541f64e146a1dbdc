package forecast

import (
	"fmt"
	"math"

	"graftslip/layouts"
)

// PercentWords writes a share in whole percent, which are as fine as counts are. A
// few of many are not none, and nearly all are not all.
func PercentWords(share float64) string {
	rounded := math.Round(share * 100)
	switch {
	case rounded == 0 && share > 0:
		return "<1 %"
	case rounded == 100 && share < 1:
		return ">99 %"
	}
	return fmt.Sprintf("%.0f %%", rounded)
}

// ChanceWords writes a chance in percent, never rounded up: less would be said than
// is so, but not more.
func ChanceWords(chance float64) string {
	return layouts.FormatNumber(math.Floor(chance*1000+1e-9)/10) + "%"
}

// Words write an interval in whole percent: "81–94 %".
func (i Interval) Words() string {
	return fmt.Sprintf("%.0f–%.0f %%", math.Round(i.Low*100), math.Round(i.High*100))
}

// LevelWords write a level as flags take it: "95%".
func LevelWords(level float64) string { return layouts.FormatNumber(level*100) + "%" }

// BatchesWords say how many batches: "1 batch", "3 batches".
func BatchesWords(n int) string {
	if n == 1 {
		return "1 batch"
	}
	return fmt.Sprintf("%d batches", n)
}

// LeftOutWords tell of the batches that are not among the groups, a line for each
// reason.
func (r Rates) LeftOutWords() []string {
	var lines []string
	for _, left := range []struct {
		batches   int
		one, more string
	}{
		{r.Unfinished, "is not finished yet", "are not finished yet"},
		{r.Uncounted, "was never counted, and is left out", "were never counted, and are left out"},
		{r.Early, "was lost before any like it could be finished, and is left out until then", "were lost before any like them could be finished, and are left out until then"},
	} {
		switch {
		case left.batches == 1:
			lines = append(lines, BatchesWords(1)+" "+left.one)
		case left.batches > 1:
			lines = append(lines, BatchesWords(left.batches)+" "+left.more)
		}
	}
	return lines
}

// ReadingWords say what the numbers mean and how far differences can be trusted, a
// line each.
func (r Rates) ReadingWords() []string {
	if len(r.Groups) == 0 {
		return nil
	}
	brackets := "in brackets: where the share lies, at " + LevelWords(r.Level)
	if r.By == ByPair {
		brackets += ", and where that of the next batch is expected, at 90%"
	}
	if len(r.Groups) == 1 {
		return []string{brackets}
	}
	spread := "with batches of one group as different as they were"
	if r.Spread.Freedom == 0 {
		spread = "no group has two batches: how much batches differ anyway is a guess"
	}
	return []string{brackets, fmt.Sprintf("within chance: at %s for all comparisons at once; %s", LevelWords(r.Level), spread),
		"groups differ in more than their name: who grafted which wood when. A difference is no cause"}
}
