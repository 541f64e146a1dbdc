package site

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/entry"
)

// log keeps an entry. The script gets an object; a form without it gets the page
// of the record again, with what was typed where it was refused.
func (s *Site) log(v *visit) error {
	code, err := codes.Parse(v.PathValue("code"))
	if err != nil {
		return refuse(http.StatusNotFound, "scan it, or type its 14 digits", "this is no code")
	}
	entry, err := s.entry(v, code)
	if err == nil {
		err = s.writing.take(v.Context(), func() error {
			entry, _, err = s.Book.Log(v.Context(), entry)
			return err
		})
	}
	switch {
	case err == nil && wantsJSON(v.Request):
		s.answer(v, http.StatusOK, map[string]any{"entry": entry.Number, "said": entry.Words()})
		return nil
	case err == nil:
		http.Redirect(v.out, v.Request, "/"+plain(code)+"?saved="+strconv.Itoa(entry.Number), http.StatusSeeOther)
		return nil
	case wantsJSON(v.Request):
		return err // the script keeps it
	}
	told := s.told(err)
	if told.status == http.StatusInternalServerError {
		told.hint += "; what you entered was not kept"
	}
	return s.again(v, code, told, func(f *forms) { f.typed(v.PostForm, told) })
}

// again shows the record with why something was not done, and with what was typed.
func (s *Site) again(v *visit, code codes.Code, why error, typed func(*forms)) error {
	history, err := s.Book.History(v.Context(), code)
	if err != nil {
		return why
	}
	told := s.told(why)
	page := s.recordOf(history, code, false)
	typed(&page.Forms)
	s.render(v, told.status, "record", frame{Title: page.Pair, Problem: newProblem(told.Error(), told.hint), Body: page})
	return nil
}

// entry reads an entry from the fields of a form.
func (s *Site) entry(v *visit, code codes.Code) (records.Entry, error) {
	const most = 60 // letters of a number or a word
	fields := v.PostForm
	o, err := entry.Form(code, func(name string) string { return line(fields.Get(name), most) })
	o.Key, o.By, o.Note = fields.Get("key"), v.phone.name, line(fields.Get("note"), records.MaxText+1)
	var wrong *entry.Error
	switch {
	case len(o.Key) != 32 || strings.Trim(o.Key, "0123456789abcdef") != "":
		return o, refuse(http.StatusBadRequest, "open the page anew and enter it again", "the entry has no number of its own")
	case errors.As(err, &wrong) && wrong.Code == entry.Malformed:
		return o, refuse(http.StatusBadRequest, wrong.Advice, "%s", wrong.Problem)
	case errors.As(err, &wrong):
		return o, refuseField(wrong.Field, wrong.Advice, "%s", wrong.Problem)
	}
	o.At, err = s.seenAt(v.phone, fields.Get("day"), fields.Get("ago"))
	return o, err
}
