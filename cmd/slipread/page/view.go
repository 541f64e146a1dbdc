package page

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"net/http"
	"strings"
	"time"

	"graftslip/codes"
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
	Body     any
}

// problem is what was wrong, and what to do.
type problem struct{ Text, Hint string }

// parse reads the templates: each page with the frame and the pieces that pages
// share.
func (s *Site) parse() (map[string]*template.Template, error) {
	pages := map[string]*template.Template{}
	for _, name := range []string{"open", "scan", "found", "record", "due", "bed", "rates", "problem"} {
		parsed, err := template.New("frame.html").Funcs(template.FuncMap{
			"day": func(t time.Time) string { return s.Dates.Format(t) }, "plain": plain, "counted": records.Counted, "iso": isoDay,
		}).ParseFS(files, "templates/frame.html", "templates/pieces.html", "templates/"+name+".html")
		if err != nil {
			return nil, err
		}
		pages[name] = parsed
	}
	return pages, nil
}

func isoDay(t time.Time) string { return t.Format(time.DateOnly) }

// render sends a page, whole or not at all.
func (s *Site) render(v *visit, status int, name string, f frame) {
	f.Version, f.Token, f.Name, f.Nursery, f.ReadOnly = s.version, v.phone.form, v.phone.name, s.Nursery, s.ReadOnly
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
		s.answer(v, told.status, map[string]any{"problem": sentence(told.Error()), "hint": told.hint})
		return
	}
	s.render(v, told.status, "problem", frame{Title: "Not done", Problem: &problem{sentence(told.Error()), told.hint}})
}

// answer sends an object to the script.
func (s *Site) answer(v *visit, status int, object any) {
	v.out.Header().Set("Content-Type", "application/json")
	v.out.WriteHeader(status)
	_ = json.NewEncoder(v.out).Encode(object) // a phone that has gone needs no answer
}

// sentence is an error in one line.
func sentence(text string) string { return strings.Join(strings.Fields(text), " ") }

// unitWords say which tray or stem it is.
func unitWords(b records.Batch, unit codes.Code) string {
	switch unit.Kind() {
	case codes.Stem:
		return fmt.Sprintf("stem %d of %d", unit.Number(), b.Grafts)
	case codes.Tray:
		return fmt.Sprintf("tray %d of %d", unit.Number(), b.Trays())
	}
	return "whole batch"
}

// when says how far a day is from today.
func when(day, today time.Time) string {
	switch days := int(day.Sub(today) / (24 * time.Hour)); {
	case days == 0:
		return "today"
	case days == 1:
		return "tomorrow"
	case days > 0:
		return fmt.Sprintf("in %d days", days)
	case days == -1:
		return "1 day late"
	default:
		return fmt.Sprintf("%d days late", -days)
	}
}

// today is the calendar day here, at midnight UTC.
func (s *Site) today() time.Time {
	year, month, day := s.Now().Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}
