package files

import (
	"errors"
)

// What can be wrong with a file. Errors of this package wrap one of these;
// use errors.Is. Their own texts name the file's fault and they carry a hint
// for the person (method Hint).
var (
	// ErrBroken: the file is of a kind that can be read, but damaged.
	ErrBroken = errors.New("damaged file")
	// ErrUnsupported: the file is of a kind that cannot be read here.
	ErrUnsupported = errors.New("unsupported kind of file")
	// ErrTooLarge: the file is beyond the limits in bytes or pixels.
	ErrTooLarge = errors.New("file too large")
	// ErrLocked: the PDF asks for a password.
	ErrLocked = errors.New("password-protected file")
)

// Fault is an error for the person: what is wrong and what to do.
type Fault struct {
	Kind   error  // one of the errors above
	Text   string // what is wrong
	Advice string // what to do; no full stop
	Cause  error  // what the library said; may be nil
}

func (f *Fault) Error() string {
	if f.Cause != nil {
		return f.Text + ": " + f.Cause.Error()
	}
	return f.Text
}

func (f *Fault) Hint() string { return f.Advice }

func (f *Fault) Unwrap() []error {
	if f.Cause != nil {
		return []error{f.Kind, f.Cause}
	}
	return []error{f.Kind}
}
