package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
)

func (p program) bedCommand() *cobra.Command {
	v := &baseCommand{program: p}
	var room command.BedFlags
	c := &cobra.Command{
		Use:   "bed",
		Short: "List the trays under mist, and when there will be room",
		Long: `List the trays under mist today, oldest first, and when each may leave. A tray leaves
after as many days as half the trays of its pair took, or else half of its stock, or half of all.
Until three have left, the day is a guess.

Then come the days on which the bed will change. They include batches that have labels but are still
to be grafted. A batch without trays counts as one tray, tray 1.`,
		Example: "  slipread bed --bed-spaces 40 --tray-size 280x540mm",
		Args:    command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			l, err := v.open(c)
			if err != nil {
				return err
			}
			defer l.close()
			return l.bed(c.Context(), room)
		},
	}
	c.Flags().SortFlags = false
	room.RegisterRoom(c.Flags())
	v.register(c, "write JSON: one object")
	return c
}

// bed reports what stands under mist.
func (l *job) bed(ctx context.Context, room command.BedFlags) error {
	histories, err := l.histories(ctx)
	if err != nil {
		return err
	}
	b := bed{BedFlags: room, standing: records.Bed(histories, l.out.calendar, l.out.today)}
	b.forecast = records.BedForecast(b.standing, records.ToCome(histories, l.out.calendar, l.out.today))
	if l.out.asJSON {
		return json.NewEncoder(l.out.stdout).Encode(b.line(l.out))
	}
	return b.write(l.out)
}

// bed is what stands under mist, now and later.
type bed struct {
	command.BedFlags
	standing []records.BedTray
	forecast []records.BedDay
}

// alive counts the stems under mist.
func (b *bed) alive() int {
	alive := 0
	for _, tray := range b.standing {
		alive += tray.Tally.Alive
	}
	return alive
}

// room returns how many bed spaces are free; "" if their number is not given.
func (b *bed) room(trays int) string {
	switch free := b.BedSpaces - trays; {
	case b.BedSpaces == 0:
		return ""
	case free < 0:
		return fmt.Sprintf(", %s too few", records.Counted(-free, "bed space"))
	default:
		return fmt.Sprintf(", %s free", records.Counted(free, "bed space"))
	}
}

// write writes it as text.
func (b *bed) write(p printer) error {
	if len(b.standing) > 0 {
		var rows [][]string
		for _, tray := range b.standing {
			rows = append(rows, []string{fmt.Sprint(tray.Days), tray.Unit.String(), records.Pair(tray.Batch.Variety, tray.Batch.Stock),
				fmt.Sprintf("%d of %d", tray.Unit.Number(), tray.Batch.Trays()), tray.Tally.Words(), p.dates.Format(tray.Until), tray.Basis})
		}
		if err := command.Table(p.stdout, []string{"DAYS", "CODE", "PAIR", "TRAY", "STEMS", "UNTIL", "WHY"}, rows); err != nil {
			return err
		}
	}
	_, err := fmt.Fprint(p.stdout, b.sums(p))
	return err
}

// sums writes the totals under mist, and how they will change.
func (b *bed) sums(p printer) string {
	var out strings.Builder
	trays := len(b.standing)
	if trays == 0 {
		fmt.Fprintf(&out, "nothing is under mist%s\n", b.room(0))
	} else {
		area := ""
		if b.Tray.Width > 0 {
			area = fmt.Sprintf(", %.2f m²", b.SquareMetres(trays))
		}
		fmt.Fprintf(&out, "under mist: %s, %s alive%s%s\n", records.Counted(trays, "tray"), records.Counted(b.alive(), "stem"), area, b.room(trays))
	}
	for _, room := range b.forecast {
		var changes []string
		if room.Leaving > 0 {
			changes = append(changes, fmt.Sprintf("%d out", room.Leaving))
		}
		if room.Arriving > 0 {
			changes = append(changes, fmt.Sprintf("%d in", room.Arriving))
		}
		fmt.Fprintf(&out, "%s  %s: %s, %s%s\n", p.dates.Format(room.Day), strings.Join(changes, ", "),
			records.Counted(room.Trays, "tray"), records.Counted(room.Stems, "stem"), b.room(room.Trays))
	}
	return out.String()
}

// bedJSON is the object of "slipread bed --json".
type bedJSON struct {
	Date      string        `json:"date"`
	Standing  []bedTrayJSON `json:"standing"`
	Trays     int           `json:"trays"`
	Stems     int           `json:"stems"`
	Area      float64       `json:"square_metres,omitempty"`
	BedSpaces int           `json:"bed_spaces,omitempty"`
	Free      *int          `json:"free,omitempty"`
	Forecast  []bedDayJSON  `json:"forecast"`
}

type bedTrayJSON struct {
	Code    string     `json:"code"`
	Days    int        `json:"days"`
	Variety string     `json:"variety"`
	Stock   string     `json:"stock"`
	Tray    int        `json:"tray"`
	Tally   *tallyJSON `json:"tally"`
	Until   string     `json:"until"`
	Basis   string     `json:"basis"`
}

type bedDayJSON struct {
	Date     string `json:"date"`
	Leaving  int    `json:"leaving"`
	Arriving int    `json:"arriving"`
	Trays    int    `json:"trays"`
	Stems    int    `json:"stems"`
	Free     *int   `json:"free,omitempty"`
}

func (b *bed) line(p printer) bedJSON {
	free := func(trays int) *int {
		if b.BedSpaces == 0 {
			return nil
		}
		n := b.BedSpaces - trays
		return &n
	}
	trays := len(b.standing)
	l := bedJSON{
		Date: p.today.Format(time.DateOnly), Standing: []bedTrayJSON{}, Trays: trays, Stems: b.alive(),
		Area: b.SquareMetres(trays), BedSpaces: b.BedSpaces, Free: free(trays), Forecast: []bedDayJSON{},
	}
	for _, tray := range b.standing {
		l.Standing = append(l.Standing, bedTrayJSON{
			Code: tray.Unit.String(), Days: tray.Days, Variety: tray.Batch.Variety, Stock: tray.Batch.Stock, Tray: tray.Unit.Number(),
			Tally: new(tallyJSON(tray.Tally)), Until: tray.Until.Format(time.DateOnly), Basis: tray.Basis,
		})
	}
	for _, room := range b.forecast {
		l.Forecast = append(l.Forecast, bedDayJSON{room.Day.Format(time.DateOnly), room.Leaving, room.Arriving, room.Trays, room.Stems, free(room.Trays)})
	}
	return l
}
