package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/testdata/outside"
)

// awkward are tasks of batches whose names hold what a calendar must escape or
// fold.
func awkward(t *testing.T) (printer, []records.DueGroup) {
	t.Helper()
	today := time.Date(2026, 12, 7, 23, 30, 0, 0, time.FixedZone("UTC+2", 2*60*60))
	var histories []records.History
	for i, names := range [][2]string{
		{"Lantern, Wren; Late", `Back\slash, Thorn`},
		{"Žluťoučký Kůň, příliš žluťoučký; ďábelské ódy úpěl", "Κόκκινη Πέτρα, στην άκρη του δρόμου; μακριά πολύ"},
		{"Мокрая Лампа", strings.Repeat("Ж", 60)},
		{"Plain Name", "Sloe Barrow"},
	} {
		code, err := codes.New(time.Date(2026, 11, 9+7*(i%2), 0, 0, 0, 0, time.UTC), i+1)
		require.NoError(t, err)
		draft := records.Draft{Date: code.Date(), Variety: names[0], Stock: names[1], Grafts: 300, TraySize: 30}
		histories = append(histories, records.NewHistory(records.Batch{Code: code, Draft: draft}, nil))
	}
	return printer{today: today}, dueGroups(histories, records.Calendar{}, today)
}

// What RFC 5545, 3.1 asks of every line: it ends with CRLF, has at most 75
// octets, and no letter is cut in two.
func TestCalendarLines(t *testing.T) {
	p, due := awkward(t)
	require.Len(t, due, 4)
	var file bytes.Buffer
	require.NoError(t, p.calendarOf(&file, eventsOf(due), p.day()))
	require.True(t, strings.HasSuffix(file.String(), "END:VCALENDAR\r\n"))
	lines := strings.Split(strings.TrimSuffix(file.String(), "\r\n"), "\r\n")
	folded := 0
	for _, line := range lines {
		require.NotContains(t, line, "\n")
		require.NotContains(t, line, "\r")
		require.LessOrEqual(t, len(line), 75, line)
		require.True(t, utf8.ValidString(line), line)
		if strings.HasPrefix(line, " ") {
			folded++
		}
	}
	require.Greater(t, folded, 8)
}

// A batch, a task and a day are one event, by one name whatever becomes of single
// trays, with each reason and the codes of the trays that have it.
func TestAppointments(t *testing.T) {
	code, err := codes.New(time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), 1)
	require.NoError(t, err)
	batch := records.Batch{Code: code, Draft: records.Draft{Date: code.Date(), Variety: "Lantern Wren", Stock: "Quarry Thorn", Grafts: 80, TraySize: 20}}
	var trays []codes.Code
	for tray := range 4 {
		unit, err := code.Tray(tray + 1)
		require.NoError(t, err)
		trays = append(trays, unit)
	}
	grew := func(tray, growing, day int) records.Entry {
		return records.Entry{Number: tray, Unit: trays[tray-1], Of: 20, At: code.Date().AddDate(0, 0, day), Counts: records.Counts{Growing: records.Said(growing)}}
	}
	of := func(entries ...records.Entry) []records.DueGroup {
		return eventsOf(dueGroups([]records.History{records.NewHistory(batch, entries)}, records.Calendar{}, code.Date().AddDate(0, 0, 23)))
	}
	untouched := of()
	require.Len(t, untouched, 1)
	require.Equal(t, "26313-001.look.20261130@graftslip", eventName(untouched[0][0]))
	require.Equal(t, "trays 1-4", untouched[0].Where())

	seen := of(grew(1, 4, 22), grew(3, 3, 22), grew(4, 15, 22))
	require.Len(t, seen, 3)
	require.Equal(t, eventName(untouched[0][0]), eventName(seen[0][0]), "the rest of the batch keeps its name")
	require.Equal(t, "tray 2", seen[0].Where())
	require.Equal(t, "26313-001.harden-off.20261201@graftslip", eventName(seen[1][0]))
	require.Equal(t, "26313-001.look-again.20261208@graftslip", eventName(seen[2][0]))
	require.Equal(t, "trays 1,3", seen[2].Where())
	require.Equal(t, "new growth on 4 of 20 so far\n"+trays[0].String()+"\nnew growth on 3 of 20 so far\n"+trays[2].String(), eventDescription(seen[2]))

	require.Len(t, of(grew(1, 4, 15), grew(4, 15, 22)), 3, "another task on the same day is another event")
}

// python3-icalendar prints what it reads, an object for each event.
const readCalendar = `
import icalendar, json, sys
calendar = icalendar.Calendar.from_ical(open(sys.argv[1], 'rb').read())
assert not calendar.errors and calendar['VERSION'] == '2.0' and calendar['PRODID'], calendar.errors
for event in calendar.walk('VEVENT'):
    assert not event.errors, event.errors
    alarm, = event.walk('VALARM')
    print(json.dumps({
        'UID': str(event['UID']), 'Start': event.decoded('DTSTART').isoformat(), 'Stamp': event.decoded('DTSTAMP').isoformat(),
        'Summary': str(event['SUMMARY']), 'Description': str(event['DESCRIPTION']), 'Transparent': str(event['TRANSP']),
        'Alarm': int(alarm.decoded('TRIGGER').total_seconds()), 'Action': str(alarm['ACTION']), 'Said': str(alarm['DESCRIPTION']),
    }))
`

// Another reader of calendars reads the names as they are, whatever they hold.
func TestOutsideCalendar(t *testing.T) {
	python := outside.Python(t, "icalendar")
	p, due := awkward(t)
	path := filepath.Join(t.TempDir(), "due.ics")
	require.NoError(t, p.writeCalendar(path, "", eventsOf(due), p.day()))
	read := exec.Command(python, "-c", readCalendar, path)
	read.Stderr = os.Stderr
	output, err := read.Output()
	require.NoError(t, err)
	events := json.NewDecoder(bytes.NewReader(output))
	for _, group := range due {
		w := group[0]
		var event struct {
			UID, Start, Stamp, Summary, Description, Transparent, Action, Said string
			Alarm                                                              int
		}
		require.NoError(t, events.Decode(&event))
		day, since := w.From, ""
		if w.From.Format(time.DateOnly) < "2026-12-07" {
			day, since = time.Date(2026, 12, 7, 0, 0, 0, 0, time.UTC), " (since 2026-11-30)"
		}
		require.Equal(t, day.Format(time.DateOnly), event.Start, "an event of the whole day")
		require.Equal(t, "2026-12-07T21:30:00+00:00", event.Stamp)
		require.Equal(t, "Check for new growth: "+records.Pair(w.Batch.Variety, w.Batch.Stock)+", trays 1-10"+since, event.Summary)
		require.Equal(t, event.Summary, event.Said)
		require.Equal(t, "TRANSPARENT", event.Transparent)
		require.Equal(t, "DISPLAY", event.Action)
		require.Equal(t, 7*60*60, event.Alarm, "seconds after the day begins")
		lines := strings.Split(event.Description, "\n")
		require.Equal(t, "day 21 under mist", lines[0])
		require.Len(t, lines, 11, "a code for each tray")
		first, err := codes.Parse(lines[1])
		require.NoError(t, err)
		require.Equal(t, w.Unit, first)
		require.Equal(t, first.BatchName()+".look."+w.From.Format("20060102")+"@graftslip", event.UID)
	}
	require.False(t, events.More())
}
