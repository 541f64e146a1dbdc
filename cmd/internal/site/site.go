// Package site is the page for phones at the mist bed: it shows what a code
// stands for, what is due and what stands in the bed, and takes entries. It is
// rendered here, with a stylesheet and scripts of its own, and works without
// scripts, too. It knows no PDF: who serves it says how a tag is made.
package site

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"io/fs"
	"iter"
	"net/http"
	"time"

	"golang.org/x/sync/semaphore"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/plan/forecast"
)

//go:embed templates/*.html assets/*
var files embed.FS

// Options are what the page stands on.
type Options struct {
	Book     *ledger.Ledger
	Now      func() time.Time
	Calendar records.Calendar
	Dates    records.DateForm
	Nursery  string // may be empty
	// Read reads what is on the file of a picture; wanted tells texts that are
	// codes.
	Read func(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[scan.View, error]
	// Repair returns the records that a damaged code may be of, best first.
	Repair func(ctx context.Context, text string) ([]records.Record, error)
	// Tag makes the slip of a record once more, at a place of its sheet from 1
	// to Places, as a PDF with a name for it.
	Tag    func(ctx context.Context, record records.Record, place int) (name string, pdf []byte, err error)
	Places func(code codes.Code) int
	// Plot draws takes as an SVG; nil: there is no drawing.
	Plot func(forecast.Rates) ([]byte, error)
	// ReadOnly takes no entries and makes no tags.
	ReadOnly bool
	// Trouble takes faults of the machine, for whoever looks after it; phones
	// are told only that there is one.
	Trouble func(error)
	// Pause is how long the answer to a wrong key is held back.
	Pause time.Duration
}

// Site answers phones.
type Site struct {
	Options
	door      *door
	writing   turns
	latest    *latest
	reading   reading
	templates map[string]*template.Template
	assets    fs.FS
	version   string // of the assets, so that a phone takes new ones

	uploading chan struct{}       // holds one for each picture in memory
	decoding  *semaphore.Weighted // holds the weight of those that are looked at
}

// So many pictures at once, to keep a few phones from filling the memory.
const (
	mostUploading = 8
	mostDecoding  = 2
)

// New makes a site. The error is one of the ledger, or of the templates.
func New(ctx context.Context, options Options) (*Site, error) {
	s := &Site{Options: options, writing: newTurns(), latest: newLatest(), uploading: make(chan struct{}, mostUploading), decoding: semaphore.NewWeighted(mostPixels)}
	var err error
	if s.door, err = newDoor(ctx, options, s.writing); err != nil {
		return nil, err
	}
	if s.assets, err = fs.Sub(files, "assets"); err != nil {
		return nil, err
	}
	if s.version, err = digest(s.assets); err != nil {
		return nil, err
	}
	s.templates, err = s.parse()
	return s, err
}

// Key returns the key that lets the next phone in, twelve digits. Once used it
// is another.
func (s *Site) Key() string { return s.door.Key() }

// Opened gives a signal after a phone was let in, so that the next key can be
// shown.
func (s *Site) Opened() <-chan struct{} { return s.door.opened }

// Handler answers all requests.
func (s *Site) Handler() http.Handler {
	inside := http.NewServeMux()
	inside.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/scan", http.StatusSeeOther) })
	inside.HandleFunc("GET /scan", s.handle(s.scan))
	inside.HandleFunc("POST /scan", s.handle(s.photo))
	inside.HandleFunc("GET /found", s.handle(s.found))
	inside.HandleFunc("GET /due", s.handle(s.due))
	inside.HandleFunc("GET /bed", s.handle(s.bed))
	inside.HandleFunc("GET /rates", s.handle(s.rates))
	inside.HandleFunc("GET /rates.svg", s.handle(s.ratesPlot))
	inside.HandleFunc("GET /{code}", s.handle(s.record))
	inside.HandleFunc("POST /{code}/log", s.change(s.log))
	inside.HandleFunc("POST /{code}/tag", s.change(s.tag))
	inside.HandleFunc("GET /{code}/log", s.handle(s.reopened))
	inside.HandleFunc("GET /{code}/tag", s.handle(s.reopened))

	all := http.NewServeMux()
	all.Handle("GET /assets/", s.asset())
	all.HandleFunc("GET /open/{key}", s.handle(s.openForm))
	all.HandleFunc("GET /open", s.handle(s.openForm))
	all.HandleFunc("POST /open", s.handle(s.open))
	all.Handle("/", s.onlyPhones(inside))
	return s.guard(all)
}

// visit is one request of a phone.
type visit struct {
	out http.ResponseWriter
	*http.Request
	phone phone
}

func (s *Site) handle(answer func(*visit) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		v := &visit{w, r, phoneOf(r.Context())}
		if err := answer(v); err != nil {
			s.fail(v, err)
		}
	}
}

// refusal is an error that the person at the phone is told.
type refusal struct {
	status int
	err    error
	hint   string
	field  string // of the form, that it is about; may be empty
}

func (r *refusal) Error() string { return r.err.Error() }

func (r *refusal) Unwrap() error { return r.err }

// refuseField is refuse for what stands in one field of a form.
func refuseField(field, hint, problem string, values ...any) error {
	return &refusal{status: http.StatusUnprocessableEntity, err: fmt.Errorf(problem, values...), hint: hint, field: field}
}

func refuse(status int, hint, problem string, values ...any) error {
	return &refusal{status: status, err: fmt.Errorf(problem, values...), hint: hint}
}

// told turns an error into what the person at the phone is told. What only
// concerns the machine is kept from them.
func (s *Site) told(err error) *refusal {
	var known *refusal
	var problem *records.Problem
	var entry *records.EntryError
	var contradiction *records.ContradictionError
	switch {
	case errors.As(err, &known):
		return known
	case errors.Is(err, ledger.ErrNotIssued):
		return &refusal{status: http.StatusNotFound, err: err, hint: "look at the code again; was it printed with another ledger?"}
	case errors.As(err, &entry):
		return &refusal{status: http.StatusUnprocessableEntity, err: err, hint: entry.Hint()}
	case errors.As(err, &contradiction):
		return &refusal{status: http.StatusUnprocessableEntity, err: err, hint: contradiction.Hint()}
	case errors.As(err, &problem) && problem.Kind == ledger.ErrKeyUsed:
		return &refusal{status: http.StatusConflict, err: err, hint: problem.Hint()}
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return &refusal{status: http.StatusServiceUnavailable, err: errors.New("it took too long"), hint: "try again"}
	}
	s.Trouble(err)
	return &refusal{status: http.StatusInternalServerError, err: errors.New("something is wrong at the computer"), hint: "look there"}
}
