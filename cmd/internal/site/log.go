package site

import (
	"errors"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/entry"
)

// log saves an entry. The script gets JSON; a plain form gets the record's page, with
// what was typed if the entry was refused.
func (s *Site) log(r *request) error {
	code, err := r.code()
	if err != nil {
		return err
	}
	entry, err := s.entry(r, code)
	if err == nil {
		err = s.writing.hold(r.Context(), func() error {
			entry, _, err = s.Ledger.Log(r.Context(), entry)
			return err
		})
	}
	switch {
	case err == nil && r.fromScript():
		r.sendJSON(http.StatusOK, map[string]any{"entry": entry.Number, "said": entry.Words()})
		return nil
	case err == nil:
		return r.redirect(recordPath(code) + "?saved=" + strconv.Itoa(entry.Number))
	case r.fromScript():
		return err // the script keeps it
	}
	refused := s.refusalFor(err)
	if refused.status == http.StatusInternalServerError {
		refused.hint += "; what you entered was not kept"
	}
	return s.renderRefused(r, code, refused, func(f *forms) { f.refill(r.PostForm, refused) })
}

// renderRefused shows the record with the reason for a refusal and what was typed.
func (s *Site) renderRefused(r *request, code codes.Code, why error, refill func(*forms)) error {
	history, err := s.Ledger.History(r.Context(), code)
	if err != nil {
		return why
	}
	refused := s.refusalFor(why)
	page := s.recordOf(history, code, false)
	refill(&page.Forms)
	s.render(r, refused.status, "record", frame{Title: page.Pair, Problem: newProblem(refused.Error(), refused.hint), Body: page})
	return nil
}

// entry reads an entry from the fields of a form.
func (s *Site) entry(r *request, code codes.Code) (records.Entry, error) {
	const most = 100 // letters of an error, which quotes what was sent
	fields := r.PostForm
	o, err := entry.Form(code, fields.Get)
	o.Key, o.By, o.Note = fields.Get("key"), r.phone.name, cleanLine(fields.Get("note"), records.MaxText+1)
	var wrong *entry.Error
	switch {
	case len(o.Key) != 32 || strings.Trim(o.Key, "0123456789abcdef") != "":
		return o, refuse(http.StatusBadRequest, "reload the page and enter it again", "the entry has no key of its own")
	case errors.As(err, &wrong) && wrong.Code == entry.Malformed:
		return o, refuse(http.StatusBadRequest, wrong.Advice, "%s", wrong.Problem)
	case errors.As(err, &wrong):
		return o, refuseField(wrong.Field, wrong.Advice, "%s", cleanLine(wrong.Problem, most))
	}
	o.At, err = s.timeSeen(r.phone, fields.Get("day"), fields.Get("ago"))
	return o, err
}

// entryTimes holds the time of each phone's last entry. A phone sends its entries in
// the order in which they were made, so none is earlier than the one before.
type entryTimes struct {
	mutex sync.Mutex
	at    map[string]time.Time // by form token
}

func newEntryTimes() *entryTimes { return &entryTimes{at: map[string]time.Time{}} }

// after returns a time, or that of the phone's last entry if that is later.
func (l *entryTimes) after(p phone, at time.Time) time.Time {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if before := l.at[p.formToken]; before.After(at) {
		return before.In(at.Location())
	}
	l.at[p.formToken] = at
	return at
}

// longestWait is how long an entry can have waited on a phone. A longer wait means
// that the phone's clock was set meanwhile.
const longestWait = 60 * 24 * time.Hour

// timeSeen returns when something was seen, by this computer's clock: at noon of the
// day given in a form (ISO 8601) if that is before today, else as many seconds ago as
// the entry waited on the phone.
func (s *Site) timeSeen(p phone, day, ago string) (time.Time, error) {
	now, today := s.Now(), s.today()
	at := now
	if seconds, err := strconv.ParseUint(ago, 10, 32); err == nil && time.Duration(seconds)*time.Second <= longestWait {
		at = now.Add(-time.Duration(seconds) * time.Second)
	}
	if day = strings.TrimSpace(day); day != "" {
		const noon = 12
		named, err := time.Parse(time.DateOnly, day)
		switch {
		case err != nil:
			return named, refuseField("day", "write it as "+isoDay(today), "“%s” is not a date", cleanLine(day, 20))
		case named.After(today):
			return named, refuseField("day", "give the day you saw it", "%s is in the future", isoDay(named))
		case named.Before(today):
			year, month, date := named.Date()
			return time.Date(year, month, date, noon, 0, 0, 0, now.Location()), nil
		case isoDay(at) != isoDay(today):
			at = now
		}
	}
	if at = s.lastEntries.after(p, at); at.After(now) { // this computer's clock was set back
		at = now
	}
	return at, nil
}
