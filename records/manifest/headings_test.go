package manifest_test

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"graftslip/records"
	"graftslip/records/manifest"
)

// Headings with the same meaning are one column.
func TestHeadings(t *testing.T) {
	for _, row := range []struct {
		reason, header string
		hints          []string
	}{
		{"ours", "date,variety,stock,grafts", nil},
		{"letter case, spaces, a colon", " DATE ,Variety:,stock : ,gr afts", nil},
		{"underscores, hyphens, remarks", "date_,var-iety,stock (clone),grafts [number]", nil},
		{"German", "Datum,Sorte,Unterlage,Anzahl", nil},
		{"German with more words", "Veredelungsdatum,Edelsorte,UNTERLAGE,Stück", nil},
		{"accents taken off", "Datum,Sorte,Unterlage,Stuck", nil},
		{"an accent too many", "dâte,variety,stöck,grafts", nil},
		{"one's own", "When,Clone of scion,Clone of stock,Number", nil},
		{"others beside, one of them close", "date,variety,stock,grafts,sourse,bed,bed", []string{
			`column "sourse" is not used; did you mean "source"?`, `column "bed" is not used`, `column "bed" is not used`}},
		{"what already exists is not offered", "date,variety,stock,grafts,stocks", []string{`column "stocks" is not used`}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			own, err := manifest.NewHeadings(map[string][]string{
				"DATE": {"when"}, "variety": {"x", "Clone of scion"}, "stock": {"clone of Stock:"}, "grafts": {"number"}})
			require.NoError(t, err)
			read, messages := faultsOf(t, row.header+"\n2026-11-25,Ada,Fen,40\n", manifest.Options{Headings: own})
			require.Empty(t, messages)
			require.Equal(t, []records.Draft{{Row: 2, Date: graftDay, Variety: "Ada", Stock: "Fen", Grafts: 40}}, read.Drafts)
			require.Equal(t, row.hints, read.Hints)
		})
	}
}

// Dates under a mistyped heading are not ignored: the rows would get today's date.
func TestDatesUnderAMistypedHeading(t *testing.T) {
	const variety = "variety,stock,grafts"
	today := manifest.Options{Today: graftDay}
	for _, row := range []struct {
		reason, header, cell string
		faults               []string
	}{
		{"mistyped", "Dates", "25.11.2026", []string{`t.csv row 1, column D: found "Dates" over dates, expected "date"`}},
		{"mistyped in German", "Veredlungsdatm", "25.11.2026", []string{`t.csv row 1, column D: found "Veredlungsdatm" over dates, expected "Veredlungsdatum"`}},
		{"like it and no date", "Rate", "90%", nil},
		{"dates of another kind", "Ordered", "25.11.2026", nil},
	} {
		t.Run(row.reason, func(t *testing.T) {
			_, messages := faultsOf(t, variety+","+row.header+"\nAda,Fen,40,"+row.cell+"\n", today)
			require.Equal(t, row.faults, messages)
		})
	}
	_, messages := faultsOf(t, variety+",date,dates\nAda,Fen,40,25.11.2026,26.11.2026\n", today)
	require.Empty(t, messages, "there is a column of dates")
	_, err := manifest.ReadOrders("o.csv", strings.NewReader("variety,stock,wanted,Liefertermn\nA,B,4,1.5.2027\n"), today)
	require.EqualError(t, err, `o.csv row 1, column D: found "Liefertermn" over dates, expected "Liefertermin"`)
}

func TestOwnHeadingsWithFaults(t *testing.T) {
	for _, row := range []struct {
		reason, column, heading, want string
	}{
		{"no such column", "cultivar", "Name", `there is no column "cultivar"`},
		{"a German heading is no column", "Sorte", "Name", `there is no column "Sorte"`},
		{"one's own heading is no column", "when", "Name", `there is no column "when"`},
		{"nothing", "variety", " (x) ", `" (x) " is not a heading for variety`},
		{"ours for another", "variety", "STOCK", `"STOCK" is a heading for stock and for variety`},
		{"one's own for another", "variety", "when:", `"when:" is a heading for date and for variety`},
	} {
		_, err := manifest.NewHeadings(map[string][]string{"date": {"When", "when"}, row.column: {row.heading}})
		var problem *records.Problem
		require.True(t, errors.As(err, &problem), row.reason)
		require.Equal(t, row.want, problem.Text, row.reason)
		require.NotEmpty(t, problem.Advice, row.reason)
	}
	_, err := manifest.NewHeadings(map[string][]string{"label-wrap": {"Round"}, "label wrap": {"Around"}, "by": {"Menge"}})
	require.NoError(t, err, "a key of TOML, and a word that is German for another column")
}

// The header may be below a title; missing columns give one message with advice.
func TestHeaderBelowTitles(t *testing.T) {
	const good = "\n2026-11-25,Ada,Fen,40\n"
	title := strings.Repeat("Session,date,stock\n", 19)
	read, messages := faultsOf(t, title+"date,variety,stock,grafts"+good, manifest.Options{})
	require.Empty(t, messages)
	require.Equal(t, 21, read.Drafts[0].Row)
	_, messages = faultsOf(t, title+"x\ndate,variety,stock,grafts"+good, manifest.Options{})
	require.Equal(t, []string{`t.csv row 1: found only the columns "Session", "date", "stock", expected "variety" and "grafts" too`}, messages)

	for header, advice := range map[string]string{
		"date,varity,stock,grafts":   `"varity": did you mean "variety"?`,
		"date,Sorten,Stock,Anzhal":   `"Sorten": did you mean "Sorte"? "Anzhal": did you mean "Anzahl"?`,
		"date,cultivar,stock,grafts": `rename the headings, or list yours in the settings, as in [columns] variety = ["Cultivar"]`,
		"date,stock,grafts":          "",
	} {
		_, err := manifest.Read("t.csv", strings.NewReader(header+good), manifest.Options{})
		var first *manifest.CellError
		require.True(t, errors.As(err, &first))
		require.Equal(t, advice, first.Hint(), header)
	}
}

// The unit in a heading applies to numbers without one.
func TestUnitsInHeadings(t *testing.T) {
	read, messages := faultsOf(t, "variety,stock,grafts,Stammdurchmesser (mm):\nA,B,1,\"7,5\"\nA,B,1,1/4in\n", manifest.Options{Date: graftDay})
	require.Empty(t, messages)
	require.Equal(t, []float64{7.5, 6.35}, []float64{read.Drafts[0].Stem, read.Drafts[1].Stem})
	read, messages = faultsOf(t, "variety,stock,grafts,stem [in]\nA,B,1,5/16\n", manifest.Options{Date: graftDay})
	require.Empty(t, messages)
	require.InDelta(t, 7.9375, read.Drafts[0].Stem, 1e-9)
	_, messages = faultsOf(t, "variety,stock,grafts,stem (pencils)\nA,B,1,7\n", manifest.Options{Date: graftDay})
	require.Equal(t, []string{`t.csv row 2, stem: found "7", expected a diameter with its unit, such as 8mm or 5/16in`}, messages)

	orders, err := manifest.ReadOrders("o.csv", strings.NewReader("variety,stock,wanted,sure (%)\nA,B,9,95\nA,B,9,\"97,5 %\"\nA,B,9,0.9\n"), manifest.Options{Today: orderedOn()})
	require.NoError(t, err)
	require.Equal(t, []float64{0.95, 0.975, 0.9}, []float64{orders.Orders[0].Sure, orders.Orders[1].Sure, orders.Orders[2].Sure})
}

// The count means the grafts of a manifest and the plants of an order.
func TestCountInOrders(t *testing.T) {
	orders, err := manifest.ReadOrders("o.csv", strings.NewReader("Sorte;Unterlage;Anzahl;Veredelungen\nA;B;9;20\n"), manifest.Options{Today: orderedOn()})
	require.NoError(t, err)
	require.Equal(t, 9, orders.Orders[0].Wanted)
	require.Equal(t, 20, orders.Orders[0].Grafts)
}

// workbook returns a workbook with these rows.
func workbook(t *testing.T, rows ...[]any) *bytes.Buffer {
	t.Helper()
	file := excelize.NewFile()
	for i, row := range rows {
		require.NoError(t, file.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row))
	}
	var b bytes.Buffer
	require.NoError(t, file.Write(&b))
	return &b
}

// Cells that a workbook knows as dates and numbers are read as they are.
func TestCellsOfWorkbooks(t *testing.T) {
	header := []any{"date", "variety", "stock", "grafts", "stem (mm)"}
	moment := graftDay.Add(14*time.Hour + 30*time.Minute)
	read, err := manifest.Read("t.xlsx", workbook(t, header,
		[]any{graftDay, "Ada", "Fen", 1025, 7.5}, []any{moment, "Ada", "Fen", 40.0, "8mm"}), manifest.Options{})
	require.NoError(t, err)
	require.Equal(t, []records.Draft{
		{Row: 2, Date: graftDay, Variety: "Ada", Stock: "Fen", Grafts: 1025, Stem: 7.5},
		{Row: 3, Date: graftDay, Variety: "Ada", Stock: "Fen", Grafts: 40, Stem: 8},
	}, read.Drafts)

	for _, row := range []struct {
		reason string
		date   any
		want   string
	}{
		{"a number without the form of a date", 46351, `t.xlsx row 2, date: found "46351", expected a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026`},
		{"text that the program did not take for a date, beside one that it may have read the wrong way round", "25/11/2026",
			`t.xlsx row 2, date: found "25/11/2026", expected a cell formatted as a date, as in row 3`},
	} {
		january := time.Date(2026, time.January, 12, 0, 0, 0, 0, time.UTC)
		_, err := manifest.Read("t.xlsx", workbook(t, header, []any{row.date, "Ada", "Fen", 40}, []any{january, "Ada", "Fen", 40}), manifest.Options{})
		require.EqualError(t, err, row.want, row.reason)
	}
	_, err = manifest.Read("t.xlsx", workbook(t, header, []any{"25/11/2026", "Ada", "Fen", 40}, []any{graftDay, "Ada", "Fen", 40}), manifest.Options{})
	require.NoError(t, err, "the 25th is no month")
}

// A fault of many rows is one message, and one fault for each cell.
func TestGroups(t *testing.T) {
	text := "date,variety,stock,grafts\n"
	for i := range 100 {
		text += fmt.Sprintf("2026-11-25,A,B,%s\n", []string{"none", "40", "many"}[i%3])
	}
	_, err := manifest.Read("t.csv", strings.NewReader(text), manifest.Options{})
	var faults manifest.Errors
	require.True(t, errors.As(err, &faults))
	require.Len(t, faults, 67)
	require.EqualError(t, err, `t.csv rows 2, 4-5, 7-8, 10-11, 13-14, 16-17, 19-20, 22-23, 25-26, 28-29, 31-32, 34-35 and more (67 in all), grafts: `+
		`found "none" and "many", expected a whole number from 1 to 8999`)
	var first *manifest.CellError
	require.True(t, errors.As(faults.Unwrap()[0], &first))
	require.Equal(t, 2, first.Row)
}

// A template can be read: every heading is in use, and its example row is refused until
// it has another variety.
func TestTemplates(t *testing.T) {
	for _, template := range []manifest.Template{{Today: orderedOn()}, {Orders: true, Today: orderedOn()}} {
		var text, book bytes.Buffer
		require.NoError(t, template.WriteCSV(&text))
		require.NoError(t, template.WriteWorkbook(&book))
		read := func(name, data string) (hints []string, err error) {
			if template.Orders {
				orders, err := manifest.ReadOrders(name, strings.NewReader(data), manifest.Options{Today: orderedOn()})
				return orders.Hints, err
			}
			drafts, err := manifest.Read(name, strings.NewReader(data), manifest.Options{Today: orderedOn()})
			return drafts.Hints, err
		}
		for name, data := range map[string]string{"t.csv": text.String(), "t.xlsx": book.String()} {
			hints, err := read(name, data)
			require.EqualError(t, err, name+" row 2: found the example row of a template, expected rows of your own: delete this one")
			require.Empty(t, hints)
		}
		hints, err := read("t.csv", strings.Replace(text.String(), "EXAMPLE, delete this row", "Ada", 1))
		require.NoError(t, err)
		require.Empty(t, hints)

		file, err := excelize.OpenReader(&book)
		require.NoError(t, err)
		tab := file.GetSheetName(0)
		cells, err := file.GetRows(tab)
		require.NoError(t, err)
		comments, err := file.GetComments(tab)
		require.NoError(t, err)
		require.Len(t, comments, len(cells[0]), "a note on each column")
		edited := map[bool]string{false: "B2", true: "A2"}[template.Orders]
		require.NoError(t, file.SetCellValue(tab, edited, "Ada"))
		book.Reset()
		require.NoError(t, file.Write(&book))
		hints, err = read("t.xlsx", book.String())
		require.NoError(t, err, "dates and numbers of the workbook are such")
		require.Empty(t, hints)
	}
}
