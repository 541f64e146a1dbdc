// Package site is the page for phones at the mist bed: it shows what a code
// stands for, what is due and what stands in the bed, and takes entries. It is
// rendered here, with a stylesheet and scripts of its own, and works without
// scripts, too. It knows no PDF: who serves it says how a tag is made.
package site

import (
	"context"
	"embed"
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
	Ledger   *ledger.Ledger
	Now      func() time.Time
	Calendar records.Calendar
	Dates    records.DateForm
	Nursery  string // may be empty
	// ReadPhoto reads what is on the file of a picture; wanted tells texts that are
	// codes.
	ReadPhoto func(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[scan.View, error]
	// Reprint makes the label or card of a record once more, at a position of its
	// sheet from 1 to Positions, as a PDF with a name for it.
	Reprint   func(ctx context.Context, record records.Record, position int) (name string, pdf []byte, err error)
	Positions func(code codes.Code) int
	// Plot draws takes as an SVG; nil: there is no drawing.
	Plot func(forecast.Rates) ([]byte, error)
	// ReadOnly takes no entries and prints nothing again.
	ReadOnly bool
	// Report takes faults of the machine, for whoever looks after it; phones are
	// told only that there is one.
	Report func(error)
	// WrongKeyDelay is how long the answer to a wrong key is held back.
	WrongKeyDelay time.Duration
}

// Site answers phones.
type Site struct {
	Options
	admission   *admission
	writing     writeLock
	lastEntries *entryTimes
	cache       historyCache
	templates   map[string]*template.Template
	assets      fs.FS
	version     string // of the assets, so that a phone takes new ones

	uploading *semaphore.Weighted // holds one for each picture in memory
	decoding  *semaphore.Weighted // holds the weight of those that are looked at
}

// New makes a site. The error is one of the ledger, or of the templates.
func New(ctx context.Context, options Options) (*Site, error) {
	s := &Site{Options: options, writing: newWriteLock(), lastEntries: newEntryTimes(),
		uploading: semaphore.NewWeighted(maxUploads), decoding: semaphore.NewWeighted(maxPixels)}
	var err error
	if s.admission, err = newAdmission(ctx, options, s.writing); err != nil {
		return nil, err
	}
	if s.assets, err = fs.Sub(files, "assets"); err != nil {
		return nil, err
	}
	if s.version, err = versionOf(s.assets); err != nil {
		return nil, err
	}
	s.templates, err = s.parse()
	return s, err
}

// Key returns the key that lets the next phone in, twelve digits. Once used it
// is another.
func (s *Site) Key() string { return s.admission.currentKey() }

// Admitted gives a signal after a phone was let in, so that the next key can be
// shown.
func (s *Site) Admitted() <-chan struct{} { return s.admission.admitted }

// Handler answers all requests.
func (s *Site) Handler() http.Handler {
	inside := http.NewServeMux()
	inside.HandleFunc("GET /{$}", s.handle(func(r *request) error { return r.redirect("/scan") }))
	inside.HandleFunc("GET /scan", s.handle(s.scan))
	inside.HandleFunc("POST /scan", s.handle(s.photo))
	inside.HandleFunc("GET /found", s.handle(s.found))
	inside.HandleFunc("GET /due", s.handle(s.due))
	inside.HandleFunc("GET /bed", s.handle(s.bed))
	inside.HandleFunc("GET /rates", s.handle(s.rates))
	inside.HandleFunc("GET /rates.svg", s.handle(s.ratesPlot))
	inside.HandleFunc("GET /{code}", s.handle(s.record))
	inside.HandleFunc("POST /{code}/log", s.withFormToken(s.log))
	inside.HandleFunc("POST /{code}/tag", s.withFormToken(s.reprint))
	inside.HandleFunc("GET /{code}/log", s.handle(s.redirectToRecord))
	inside.HandleFunc("GET /{code}/tag", s.handle(s.redirectToRecord))

	all := http.NewServeMux()
	all.Handle("GET /assets/", s.serveAssets())
	all.HandleFunc("GET /open/{key}", s.handle(s.keyForm))
	all.HandleFunc("GET /open", s.handle(s.keyForm))
	all.HandleFunc("POST /open", s.handle(s.admit))
	all.Handle("/", s.requireAdmission(inside))
	return s.protect(all)
}

// handle answers a request with a page, or with why there is none.
func (s *Site) handle(answer func(*request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		asked := requestOf(w, r)
		if err := answer(asked); err != nil {
			s.fail(asked, err)
		}
	}
}
