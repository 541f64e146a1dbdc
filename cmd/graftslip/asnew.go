package main

import (
	"errors"
	"fmt"
	"io"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
)

// answers adds to questions about rows the ways to answer them. It includes the rows
// already answered.
func answers(err error, answered records.Numbers) error {
	if err == nil {
		return nil
	}
	var asked records.Numbers
	for _, each := range command.Flatten(err) {
		var question *ledger.Question
		if errors.As(each, &question) {
			asked = append(asked, question.Row)
		}
	}
	if len(asked) == 0 {
		return err
	}
	return command.Advise(err, fmt.Sprintf("for new plants, print with --as-new %v; if the file is wrong, correct or delete the row", asked.With(answered)))
}

// hintAsNew names the rows of --as-new that raised no question.
func hintAsNew(stderr io.Writer, issued []records.Issued, rows records.Numbers) {
	var idle records.Numbers
	for _, row := range rows {
		asked := false
		for _, i := range issued {
			asked = asked || i.Row == row && i.AsNew
		}
		if !asked {
			idle = append(idle, row)
		}
	}
	if len(idle) > 0 {
		command.Hint(stderr, fmt.Sprintf("print had no question about %s, so --as-new changed nothing there", idle.Rows()))
	}
}
