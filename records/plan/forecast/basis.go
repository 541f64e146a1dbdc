package forecast

import (
	"fmt"
	"strconv"
)

// Basis is how many batches with a known outcome a forecast stands on: of the
// pair, of its stock, of its variety, and in all.
type Basis struct{ Pair, Stock, Variety, All int }

// Words say it in one line: "4 batches of this pair, 12 of this stock, 9 of this
// variety, 40 in all".
func (b Basis) Words() string {
	if b.All == 0 {
		return "no batch with a known outcome: a wide guess"
	}
	pair := fmt.Sprintf("%d batches", b.Pair)
	switch b.Pair {
	case 0:
		pair = "no batch"
	case 1:
		pair = "1 batch"
	}
	return fmt.Sprintf("%s of this pair, %s of this stock, %s of this variety, %d in all", pair, orNone(b.Stock), orNone(b.Variety), b.All)
}

func orNone(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}
