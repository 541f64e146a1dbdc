package site

import (
	"bytes"
	"encoding/json"
	"html/template"
	"net/http"
	"time"

	"graftslip/records"
)

// frame is what all pages have.
type frame struct {
	Title    string
	Here     string // which of the pages at the foot it is; may be empty
	Version  string // of the assets
	Token    string // for forms; empty for a phone that was not let in
	Name     string // of who has the phone
	Nursery  string
	ReadOnly bool
	Problem  *problem
	Again    string // address to go to at once; may be empty
	Today    string // here, as in ISO 8601
	Body     any
}

// problem is what was wrong, and what to do.
type problem struct{ Text, Hint string }

func newProblem(text, hint string) *problem { return &problem{sentence(text), sentence(hint)} }

// parse reads the templates: each page with the frame and the pieces that pages
// share.
func (s *Site) parse() (map[string]*template.Template, error) {
	pages := map[string]*template.Template{}
	for _, name := range []string{"open", "scan", "found", "record", "due", "bed", "rates", "problem"} {
		parsed, err := template.New("frame.html").Funcs(template.FuncMap{
			"day": s.day, "dated": dater(), "plain": plain, "counted": records.Counted,
			"mostText": func() int { return records.MaxText }, "mostName": func() int { return mostName },
		}).ParseFS(files, "templates/frame.html", "templates/pieces.html", "templates/"+name+".html")
		if err != nil {
			return nil, err
		}
		pages[name] = parsed
	}
	return pages, nil
}

// render sends a page, whole or not at all.
func (s *Site) render(v *visit, status int, name string, f frame) {
	f.Version, f.Token, f.Name, f.Nursery, f.ReadOnly = s.version, v.phone.form, v.phone.name, s.Nursery, s.ReadOnly
	f.Today = isoDay(s.today())
	var page bytes.Buffer
	if err := s.templates[name].Execute(&page, f); err != nil {
		s.Trouble(err)
		http.Error(v.out, "something is wrong at the computer", http.StatusInternalServerError)
		return
	}
	v.out.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.out.WriteHeader(status)
	_, _ = page.WriteTo(v.out) // a phone that has gone needs no page
}

// fail tells a phone what went wrong, as a page or, for the script, as JSON.
func (s *Site) fail(v *visit, err error) {
	told := s.told(err)
	if wantsJSON(v.Request) {
		answer := map[string]any{"problem": sentence(told.Error()), "hint": sentence(told.hint)}
		if told.field != "" {
			answer["field"] = told.field
		}
		s.answer(v, told.status, answer)
		return
	}
	s.render(v, told.status, "problem", frame{Title: "Not done", Problem: newProblem(told.Error(), told.hint)})
}

// answer sends an object to the script.
func (s *Site) answer(v *visit, status int, object any) {
	v.out.Header().Set("Content-Type", "application/json")
	v.out.WriteHeader(status)
	_ = json.NewEncoder(v.out).Encode(object) // a phone that has gone needs no answer
}

// today is the calendar day here, at midnight UTC.
func (s *Site) today() time.Time { return records.Midnight(s.Now()) }
