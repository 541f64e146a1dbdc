package main

import (
	"errors"

	"graftslip/codes"
)

// faultKind tells apart, for programs, why there is no record.
type faultKind string

const (
	wrongShape  faultKind = "shape"
	wrongLength faultKind = "length"
	wrongCheck  faultKind = "check-digits"
	noSuchDate  faultKind = "date"
	outOfRange  faultKind = "unit"
	tooLittle   faultKind = "illegible"
	notInLedger faultKind = "not-in-ledger"
	noLedger    faultKind = "no-ledger"
	noCode      faultKind = "no-code"
	noFile      faultKind = "no-file"
	unreadable  faultKind = "unreadable"
	noRecord    faultKind = "no-record"
	notRead     faultKind = "missed"

	differsFromLedger faultKind = "differs"
	pastDeadline      faultKind = "deadline"

	refusedEntry  faultKind = "entry"
	contradicts   faultKind = "contradiction"
	notUnderstood faultKind = "not-understood"
)

func kindOf(err error) faultKind {
	switch {
	case errors.Is(err, codes.ErrLength):
		return wrongLength
	case errors.Is(err, codes.ErrCheckDigits):
		return wrongCheck
	case errors.Is(err, codes.ErrDate):
		return noSuchDate
	case errors.Is(err, codes.ErrUnit):
		return outOfRange
	}
	return wrongShape
}
