package scan

import "errors"

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

	// ErrLineTooLong: a line of a stream is longer than MaxLine bytes.
	ErrLineTooLong = errors.New("line too long")
	// ErrLineText: a line of a stream is not UTF-8.
	ErrLineText = errors.New("line is not UTF-8 text")
)

// fault is an error for the person: what is wrong and what to do.
type fault struct {
	kind  error  // one of the errors above
	text  string // what is wrong
	hint  string // what to do; no full stop
	cause error  // what the library said; may be nil
}

func (f *fault) Error() string {
	if f.cause != nil {
		return f.text + ": " + f.cause.Error()
	}
	return f.text
}

func (f *fault) Hint() string { return f.hint }

func (f *fault) Unwrap() []error {
	if f.cause != nil {
		return []error{f.kind, f.cause}
	}
	return []error{f.kind}
}
