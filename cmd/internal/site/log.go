package site

import (
	"net/http"
	"strconv"
	"strings"

	"graftslip/codes"
	"graftslip/records"
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
	fields := v.PostForm
	o := records.Entry{Unit: code, Key: fields.Get("key"), By: v.phone.name, Note: line(fields.Get("note"), records.MaxText+1)}
	if len(o.Key) != 32 || strings.Trim(o.Key, "0123456789abcdef") != "" {
		return o, refuse(http.StatusBadRequest, "open the page anew and enter it again", "the entry has no number of its own")
	}
	var err error
	for _, count := range []struct {
		name string
		into *records.Count
	}{{"alive", &o.Alive}, {"growing", &o.Growing}, {"rooted", &o.Rooted}, {"dead", &o.Dead}} {
		if *count.into, err = countOf(count.name, count.name, fields.Get(count.name)); err != nil {
			return o, err
		}
	}
	if err := state(fields.Get("state"), &o); err != nil {
		return o, err
	}
	if err := move(fields.Get("move"), &o); err != nil {
		return o, err
	}
	if err := left(fields.Get("left"), fields.Get("number"), &o); err != nil {
		return o, err
	}
	corrects, err := countOf("corrects", "corrects", fields.Get("corrects"))
	if err != nil {
		return o, err
	}
	o.Corrects, _ = corrects.Value()
	o.At, err = s.seenAt(v.phone, fields.Get("day"), fields.Get("ago"))
	return o, err
}

// countOf reads a number of stems, or of an entry, from a field with a label.
func countOf(name, label, text string) (records.Count, error) {
	const mostDigits = 9
	text = strings.TrimSpace(text)
	if text == "" {
		return records.Count{}, nil
	}
	if len(text) > mostDigits || strings.Trim(text, "0123456789") != "" {
		return records.Count{}, refuseField(name, "type a whole number", "“%s” is no number for %s", line(text, 20), label)
	}
	n, err := strconv.Atoi(text)
	return records.Said(n), err
}

// state is what was tapped for a stem.
func state(name string, o *records.Entry) error {
	switch name {
	case "":
	case "alive":
		o.Alive = records.Said(1)
	case "growing":
		o.Growing = records.Said(1)
	case "rooted":
		o.Rooted = records.Said(1)
	case "dead":
		o.Dead = records.Said(1)
	default:
		return unknown()
	}
	if name != "" && o.Unit.Kind() != codes.Stem {
		return unknown()
	}
	return nil
}

func move(name string, o *records.Entry) error {
	switch name {
	case "":
	case "out-of-mist":
		o.OutOfMist = true
	case "flushed":
		o.Flushed = true
	case "unwrapped":
		o.Unwrapped = true
	default:
		return unknown()
	}
	return nil
}

// left is how many went where.
func left(where, number string, o *records.Entry) error {
	count, err := countOf("number", "how many", number)
	if err != nil {
		return err
	}
	n, said := count.Value()
	if where == "" && said { // the return key says how many, and no more
		return refuse(http.StatusUnprocessableEntity, "tap sold, planted, culled alive or label unused", "what became of the %d?", n)
	}
	if where == "" {
		return nil
	}
	if !said && o.Unit.Kind() == codes.Stem {
		n = 1
	}
	if n == 0 {
		return refuseField("number", "type the number of plants", "how many?")
	}
	switch where {
	case "sold":
		o.Sold = n
	case "planted":
		o.Planted = n
	case "culled":
		o.Culled = n
	case "unused":
		o.Unused = n
	default:
		return unknown()
	}
	return nil
}

func unknown() error {
	return refuse(http.StatusBadRequest, "open the page anew and enter it again", "what was sent is no entry")
}
