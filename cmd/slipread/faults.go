package main

import "graftslip/records/lookup"

// Why there is no record, beside what lookup knows.
const (
	noCode      lookup.Kind = "no-code"
	noFile      lookup.Kind = "no-file"
	unreadable  lookup.Kind = "unreadable"
	noRecord    lookup.Kind = "no-record"
	notRead     lookup.Kind = "missed"
	differs     lookup.Kind = "differs"
	outOfTime   lookup.Kind = "deadline"
	refused     lookup.Kind = "entry"
	contradicts lookup.Kind = "contradiction"
	notSaid     lookup.Kind = "not-understood"
)
