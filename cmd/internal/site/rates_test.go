package site_test

import (
	"errors"
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/site"
	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// finished unwraps the batches of a nursery, with so many of each alive.
func (n *nursery) finished(t testing.TB, alive ...int) {
	t.Helper()
	for i, living := range alive {
		batch := n.batches[i]
		o := records.Entry{
			Key: fmt.Sprintf("%032x", 0xf0+i), At: n.clock.now(), Unit: batch.Code, Moves: records.Moves{TieRemoved: true},
			Counts: records.Counts{Alive: records.Said(living), Dead: records.Said(batch.Grafts - living)},
		}
		_, _, err := n.book.Log(t.Context(), o)
		require.NoError(t, err)
	}
}

// The page compares as slipread rates does, with the same intervals, and shows
// names as they are written.
func TestPageRates(t *testing.T) {
	n := newNursery(t, func(o *site.Options) {
		o.Plot = func(r forecast.Rates) ([]byte, error) {
			return fmt.Appendf(nil, "<svg>%v %d</svg>", r.By, len(r.Groups)), nil
		}
	})
	n.clock.set(time.Date(2027, 5, 3, 10, 0, 0, 0, time.UTC))
	p := n.phone(t, "Ida")
	status, body := p.get("/rates")
	require.Equal(t, http.StatusOK, status)
	require.Contains(t, body, "No batch has a known outcome yet")
	require.Contains(t, body, "3 batches are not finished yet")
	require.NotContains(t, body, "/rates.svg", "there is nothing to draw")
	status, body = p.get("/rates.svg")
	require.Equal(t, http.StatusNotFound, status)
	tidy(t, body)

	n.finished(t, 27, 9, 1) // of 36, 20 and 5
	for _, each := range []struct {
		path         string
		shows, hides []string
		reason       string
	}{
		{"/rates", []string{"‘Copper Almanac’ / ‘Withy Gate’", "<strong>75 %</strong> (59–86 %)", "27 of 36 grafts, 1 batch", "expected of the next batch: ", "‘&lt;b&gt;Bold&lt;/b&gt;’",
			"<strong>61 %</strong> in all: 37 of 61 grafts, 3 batches", `href="/rates.svg?for=pair"`, `href="/rates?for=label-wrap"`}, []string{"<b>", "not finished", `href="/rates?for=pair"`}, "by pair unless one says"},
		{"/rates?for=stock", []string{"‘Withy Gate’", "36 of 56 grafts, 2 batches", "within chance of the first", "a difference does not prove a cause"}, []string{"expected"}, "stocks have none expected"},
		{"/rates?for=grafter", []string{"OR", "not given"}, nil, "who is not known"},
	} {
		status, body := p.get(each.path)
		require.Equal(t, http.StatusOK, status, each.reason)
		tidy(t, body)
		for _, text := range each.shows {
			require.Contains(t, body, text, each.reason)
		}
		for _, text := range each.hides {
			require.NotContains(t, body, text, each.reason)
		}
	}
	status, body = p.get("/rates?for=%3Cscript%3E")
	require.Equal(t, http.StatusBadRequest, status)
	tidy(t, body)
	status, body = p.get("/rates.svg?for=month")
	require.Equal(t, http.StatusOK, status)
	require.Equal(t, "<svg>month 1</svg>", body)
	_, body = p.get("/bed")
	require.Contains(t, body, `href="/rates"`, "the bed leads there")
	status, _ = n.stranger(t).get("/rates")
	require.Equal(t, http.StatusUnauthorized, status)
	status, _ = n.stranger(t).get("/rates.svg")
	require.Equal(t, http.StatusUnauthorized, status)
	require.Empty(t, n.troubles.all())
}

// A drawing that fails is told at the computer, not on the phone; a page without
// one has no link to it.
func TestPageRatesPlot(t *testing.T) {
	n := newNursery(t, func(o *site.Options) {
		o.Plot = func(forecast.Rates) ([]byte, error) { return nil, errors.New("no ink") }
	})
	n.finished(t, 30)
	status, body := n.phone(t, "Ida").get("/rates.svg")
	require.Equal(t, http.StatusInternalServerError, status)
	require.NotContains(t, body, "no ink")
	require.ErrorContains(t, n.troubles.all()[0], "no ink")

	n = newNursery(t)
	n.finished(t, 30)
	_, body = n.phone(t, "Ida").get("/rates")
	require.Contains(t, body, "30 of 36")
	require.NotContains(t, body, "/rates.svg")
}
