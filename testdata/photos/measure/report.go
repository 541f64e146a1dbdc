package main

import (
	"errors"
	"fmt"
	"strings"
)

// report writes the tables. The failure says where slipread is behind or wrong.
func report(t *tally, o options, readers []reader) (text string, failure error) {
	var parts []string
	behind := 0
	add := func(table string, starred int) {
		parts = append(parts, table)
		behind += starred
	}
	if len(o.kinds) > 0 {
		add(kindTable(t, o, readers))
	}
	if o.trays {
		add(trayTable(t, o, readers))
	}
	if o.timing {
		parts = append(parts, timeTable(t, o, readers))
	}
	if o.empty > 0 {
		parts = append(parts, fmt.Sprintf("slipread reads %d texts on %d photographs without a code.\n", t.wrongOnEmpty(), o.empty))
	}
	parts = append(parts, wrongLine(t, readers)+"\n")
	var failures []error
	if behind > 0 {
		failures = append(failures, fmt.Errorf("slipread reads less than the best of the others in %d places, marked with *", behind))
	}
	if n := t.wrongOf(slipread); n > 0 {
		failures = append(failures, fmt.Errorf("slipread reads %d texts that do not stand there", n))
	}
	return strings.Join(parts, "\n") + "\n", errors.Join(failures...)
}
