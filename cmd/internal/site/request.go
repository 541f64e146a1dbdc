package site

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/netip"
	"strings"
	"unicode"

	"golang.org/x/sync/semaphore"
	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// request is a request of a phone, and its answer.
type request struct {
	out http.ResponseWriter
	*http.Request
	phone phone
}

type phoneKey struct{}

// requestOf adds the phone, if it was admitted.
func requestOf(w http.ResponseWriter, r *http.Request) *request {
	known, _ := r.Context().Value(phoneKey{}).(phone)
	return &request{w, r, known}
}

// code returns the code in the address.
func (r *request) code() (codes.Code, error) {
	code, err := codes.Parse(r.PathValue("code"))
	if err != nil {
		return code, refuse(http.StatusNotFound, "scan the code, or enter its 14 digits", "this is not a valid code")
	}
	return code, nil
}

// readForm reads the fields of a form.
func (r *request) readForm() error {
	err := r.ParseForm()
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return refuse(http.StatusRequestEntityTooLarge, "send less at once", "the form is too large")
	case err != nil:
		return refuse(http.StatusBadRequest, "reload the page and enter it again", "the form cannot be read")
	}
	return nil
}

// redirect answers with another path of the site.
func (r *request) redirect(path string) error {
	http.Redirect(r.out, r.Request, path, http.StatusSeeOther)
	return nil
}

// address identifies the machine that sent the request. A machine can use a whole
// network of IPv6 addresses, so those count as one.
func (r *request) address() string {
	const network = 64
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	address := from.Addr().Unmap()
	if address.Is6() {
		return netip.PrefixFrom(address.WithZone(""), network).Masked().String()
	}
	return address.String()
}

// fromScript reports whether the page's script sent the request; it takes JSON.
func (r *request) fromScript() bool { return r.Header.Get("Accept") == "application/json" }

// cleanLine turns text into one line of at most so many letters, without characters
// that cannot be seen.
func cleanLine(text string, most int) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return -1
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(text, "")))
	letters := []rune(strings.Join(strings.Fields(text), " "))
	return string(letters[:min(len(letters), most)])
}

func allDigits(text string) bool { return strings.Trim(text, "0123456789") == "" }

// recordPath is the path of the record of a code.
func recordPath(code codes.Code) string { return "/" + code.Compact() }

// refusal is an error that is shown on the phone.
type refusal struct {
	status int
	err    error
	hint   string
	field  string // of the form, if it is about one
}

func (r *refusal) Error() string { return r.err.Error() }

func (r *refusal) Unwrap() error { return r.err }

func refuse(status int, hint, problem string, values ...any) error {
	return &refusal{status: status, err: fmt.Errorf(problem, values...), hint: hint}
}

// refuseField is refuse for one field of a form.
func refuseField(field, hint, problem string, values ...any) error {
	return &refusal{status: http.StatusUnprocessableEntity, err: fmt.Errorf(problem, values...), hint: hint, field: field}
}

// refusalFor turns an error into one to show on the phone. Details of internal errors
// are reported at the computer and not shown.
func (s *Site) refusalFor(err error) *refusal {
	var known *refusal
	var entry *records.EntryError
	var hinted interface{ Hint() string }
	hint := ""
	if errors.As(err, &hinted) {
		hint = hinted.Hint()
	}
	switch {
	case errors.As(err, &known):
		return known
	case errors.Is(err, ledger.ErrNotIssued):
		return &refusal{status: http.StatusNotFound, err: err, hint: "check the code; was it printed from another ledger?"}
	case errors.As(err, &entry):
		return &refusal{status: http.StatusUnprocessableEntity, err: err, hint: hint}
	case errors.Is(err, ledger.ErrKeyUsed):
		return &refusal{status: http.StatusConflict, err: err, hint: hint}
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return &refusal{status: http.StatusServiceUnavailable, err: errors.New("it took too long"), hint: "try again"}
	}
	s.Report(err)
	problem := internalError()
	if errors.Is(err, ledger.ErrUnusable) {
		problem.err = ledger.ErrUnusable
	}
	return problem
}

// internalError is what a phone shows of an internal error.
func internalError() *refusal {
	return &refusal{status: http.StatusInternalServerError, err: errors.New("internal error"), hint: "see the messages on the computer that runs slipread serve"}
}

// writeLock serves writers in the order in which they came. The ledger allows one
// writer at a time; without the lock the others would poll, and some would wait for
// seconds.
type writeLock struct{ one *semaphore.Weighted }

func newWriteLock() writeLock { return writeLock{semaphore.NewWeighted(1)} }

// hold waits for its turn and calls write. The error is write's, or that of ctx.
func (l writeLock) hold(ctx context.Context, write func() error) error {
	if err := l.one.Acquire(ctx, 1); err != nil {
		return err
	}
	defer l.one.Release(1)
	return write()
}
