// Package site is the page for phones at the mist bed. It shows the record of a code,
// what is due and what stands in the bed, and takes entries. The HTML is rendered here;
// the page also works without scripts. The package knows no PDF library: Options says
// how labels and cards are printed again.
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

// Options configure a Site.
type Options struct {
	Ledger   *ledger.Ledger
	Now      func() time.Time
	Calendar records.Calendar
	Dates    records.DateForm
	Nursery  string // may be empty
	// ReadPhoto reads a picture file; wanted reports whether a text is a code.
	ReadPhoto func(ctx context.Context, file io.Reader, wanted func(text string) bool) iter.Seq2[scan.View, error]
	// Reprint makes a PDF with the label or card of a record, at a position on its
	// sheet from 1 to Positions, and a name for the file.
	Reprint   func(ctx context.Context, record records.Record, position int) (name string, pdf []byte, err error)
	Positions func(code codes.Code) int
	// Plot draws takes as SVG; nil: no drawing.
	Plot func(forecast.Rates) ([]byte, error)
	// ReadOnly refuses entries and reprints.
	ReadOnly bool
	// Report receives internal errors, which phones do not show in detail.
	Report func(error)
	// WrongKeyDelay delays the answer to a wrong key.
	WrongKeyDelay time.Duration
}

// Site serves the page.
type Site struct {
	Options
	admission   *admission
	writing     writeLock
	lastEntries *entryTimes
	cache       historyCache
	templates   map[string]*template.Template
	assets      fs.FS
	version     string // of the assets; a new one makes phones load them again

	uploading *semaphore.Weighted // one for each picture in memory
	decoding  *semaphore.Weighted // the weight of each picture being read
}

// New returns a site. The error is the ledger's or a template's.
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

// Key returns the key for the next phone: twelve digits, replaced once used.
func (s *Site) Key() string { return s.admission.currentKey() }

// Admitted signals that a phone was admitted and Key has changed.
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

// handle answers a request, or shows its error.
func (s *Site) handle(answer func(*request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		asked := requestOf(w, r)
		if err := answer(asked); err != nil {
			s.fail(asked, err)
		}
	}
}
