package site

import (
	"bytes"
	"encoding/json"
	"html/template"
	"net/http"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"graftslip/records"
)

// frame is what all pages share.
type frame struct {
	Title    string
	Here     string // which link of the navigation it is; may be empty
	Version  string // of the assets
	Token    string // for forms; empty for a phone not admitted
	Name     string // of the person who holds the phone
	Nursery  string
	ReadOnly bool
	Problem  *problem
	Again    string // address to load at once; may be empty
	Today    string // at this computer, in ISO 8601
	Body     any
}

// problem is an error and what to do about it.
type problem struct{ Text, Hint string }

func newProblem(text, hint string) *problem { return &problem{sentence(text), sentence(hint)} }

// parse reads the templates, each with the frame and the shared pieces.
func (s *Site) parse() (map[string]*template.Template, error) {
	pages := map[string]*template.Template{}
	for _, name := range []string{"open", "scan", "found", "record", "due", "bed", "rates", "problem"} {
		parsed, err := template.New("frame.html").Funcs(template.FuncMap{
			"day": s.day, "dated": dater(), "counted": records.Counted, "newKey": records.NewKey,
			"mostText": func() int { return records.MaxText }, "maxName": func() int { return maxName },
		}).ParseFS(files, "templates/frame.html", "templates/pieces.html", "templates/"+name+".html")
		if err != nil {
			return nil, err
		}
		pages[name] = parsed
	}
	return pages, nil
}

// render sends a whole page, or an internal error.
func (s *Site) render(r *request, status int, name string, f frame) {
	f.Version, f.Token, f.Name, f.Nursery, f.ReadOnly = s.version, r.phone.formToken, r.phone.name, s.Nursery, s.ReadOnly
	f.Today = isoDay(s.today())
	var page bytes.Buffer
	if err := s.templates[name].Execute(&page, f); err != nil {
		s.Report(err)
		http.Error(r.out, internalError().Error(), http.StatusInternalServerError)
		return
	}
	r.out.Header().Set("Content-Type", "text/html; charset=utf-8")
	r.out.WriteHeader(status)
	_, _ = page.WriteTo(r.out) // the phone may have gone
}

// fail shows an error, as a page or, for the script, as JSON.
func (s *Site) fail(r *request, err error) {
	refused := s.refusalFor(err)
	if r.fromScript() {
		answer := map[string]any{"problem": sentence(refused.Error()), "hint": sentence(refused.hint)}
		if refused.field != "" {
			answer["field"] = refused.field
		}
		r.sendJSON(refused.status, answer)
		return
	}
	s.render(r, refused.status, "problem", frame{Title: "Not done", Problem: newProblem(refused.Error(), refused.hint)})
}

// sendJSON sends an object to the script.
func (r *request) sendJSON(status int, object any) {
	r.out.Header().Set("Content-Type", "application/json")
	r.out.WriteHeader(status)
	_ = json.NewEncoder(r.out).Encode(object) // the phone may have gone
}

// today is this computer's calendar day, at midnight UTC.
func (s *Site) today() time.Time { return records.Midnight(s.Now()) }

// sentence returns text in one line with a capital letter first.
func sentence(text string) string {
	text = strings.Join(strings.Fields(text), " ")
	first, size := utf8.DecodeRuneInString(text)
	if !unicode.IsLower(first) {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}

// dater escapes text and keeps its dates unbroken: browsers break lines at hyphens.
func dater() func(text string) template.HTML {
	dates := regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)
	return func(text string) template.HTML {
		return template.HTML(dates.ReplaceAllString(template.HTMLEscapeString(text), `<span class="date">$0</span>`))
	}
}

// day writes a day in the form of the settings, unbroken.
func (s *Site) day(t time.Time) template.HTML {
	return template.HTML(`<span class="date">` + template.HTMLEscapeString(s.Dates.Format(t)) + `</span>`)
}

func isoDay(t time.Time) string { return t.Format(time.DateOnly) }
