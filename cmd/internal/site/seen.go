package site

import (
	"strconv"
	"strings"
	"sync"
	"time"
)

// latest knows when the last entry of each phone was seen. A phone sends its
// entries in the order in which they were made, whatever its network does, so none
// is earlier than the one before.
type latest struct {
	mutex sync.Mutex
	at    map[string]time.Time // by the tokens of their forms
}

func newLatest() *latest { return &latest{at: map[string]time.Time{}} }

// after returns a time, or that of the entry before where that is later.
func (l *latest) after(p phone, at time.Time) time.Time {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	if before := l.at[p.form]; before.After(at) {
		return before.In(at.Location())
	}
	l.at[p.form] = at
	return at
}

// longestWait is how long an entry may have waited on a phone; of more, its clock
// was set meanwhile.
const longestWait = 60 * 24 * time.Hour

// seenAt is when something was seen, by the clock and the calendar of the computer:
// at noon of the day that was named, if it is not today; else so many whole seconds
// ago as it waited on the phone.
func (s *Site) seenAt(p phone, day, ago string) (time.Time, error) {
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
			return named, refuseField("day", "write it as "+isoDay(today), "“%s” is no day", line(day, 20))
		case named.After(today):
			return named, refuseField("day", "name the day on which it was seen", "%s is still to come", isoDay(named))
		case named.Before(today):
			year, month, date := named.Date()
			return time.Date(year, month, date, noon, 0, 0, 0, now.Location()), nil
		case isoDay(at) != isoDay(today):
			at = now
		}
	}
	if at = s.latest.after(p, at); at.After(now) { // the clock here was set back
		at = now
	}
	return at, nil
}
