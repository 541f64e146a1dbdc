package main

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// timings are how long answers took.
type timings struct {
	mutex sync.Mutex
	list  []time.Duration
}

func (t *timings) add(since time.Time) {
	took := time.Since(since)
	t.mutex.Lock()
	defer t.mutex.Unlock()
	t.list = append(t.list, took)
}

// String gives how many there are, the median, the 99th percentile and the longest.
func (t *timings) String() string {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	if len(t.list) == 0 {
		return "none"
	}
	slices.Sort(t.list)
	at := func(share float64) time.Duration {
		return t.list[int(share*float64(len(t.list)-1))].Round(100 * time.Microsecond)
	}
	return fmt.Sprintf("%d, p50 %v, p99 %v, max %v", len(t.list), at(0.5), at(0.99), at(1))
}

// bencher is a person with a phone who sees to the stems of one batch.
type bencher struct {
	name    string
	phone   *http.Client
	address string
	batch   records.Batch
	pause   time.Duration // between what they do
	random  *rand.Rand

	kept        map[string]string // what was entered, by key: the unit and the words of the entry
	twice       int
	gets, posts *timings
	lists       *timings
}

// work goes on until the context ends.
func (b *bencher) work(ctx context.Context) error {
	for n := 0; ctx.Err() == nil; n++ {
		if n%16 == 5 {
			start := time.Now()
			if _, err := b.page([]string{"/due", "/bed"}[b.random.IntN(2)]); err != nil {
				return err
			}
			b.lists.add(start)
		}
		if err := b.enter(n); err != nil {
			return fmt.Errorf("%s, entry %d: %w", b.name, n, err)
		}
		select {
		case <-time.After(time.Duration(float64(b.pause) * (0.5 + b.random.Float64()))):
		case <-ctx.Done():
		}
	}
	return nil
}

// enter looks at the record of a stem and enters what is seen, now and then twice,
// as a phone does that got no answer.
func (b *bencher) enter(n int) error {
	unit, err := b.batch.Code.Stem(1 + n%b.batch.Grafts)
	if err != nil {
		return err
	}
	path := "/" + strings.ReplaceAll(unit.String(), "-", "")
	start := time.Now()
	body, err := b.page(path)
	if err != nil {
		return err
	}
	b.gets.add(start)
	fields := url.Values{}
	for _, found := range regexp.MustCompile(`name="(token|key)" value="([^"]+)"`).FindAllStringSubmatch(body, 2) {
		fields.Set(found[1], found[2])
	}
	words := fmt.Sprintf("note %s saw it, round %d", b.name, n)
	if n%3 == 0 {
		fields.Set("state", "alive")
		words = "1 alive"
	} else {
		fields.Set("note", strings.TrimPrefix(words, "note "))
	}
	times := 1
	if n%7 == 1 {
		times = 2
		b.twice++
	}
	for range times {
		start := time.Now()
		answer, err := b.phone.PostForm(b.address+path+"/log", fields)
		if err != nil {
			return err
		}
		_, _ = io.Copy(io.Discard, answer.Body)
		answer.Body.Close()
		b.posts.add(start)
		if answer.StatusCode != http.StatusSeeOther {
			return fmt.Errorf("%s: %s", path, answer.Status)
		}
	}
	b.kept[fields.Get("key")] = unit.String() + " " + words
	return nil
}

func (b *bencher) page(path string) (string, error) {
	answer, err := b.phone.Get(b.address + path)
	if err != nil {
		return "", err
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err == nil && answer.StatusCode != http.StatusOK {
		err = fmt.Errorf("%s: %s", path, answer.Status)
	}
	return string(body), err
}

// TestPhones lets many phones enter at once what they see, against the program
// itself. Nothing is lost, nothing is kept twice, and nobody waits long.
func TestPhones(t *testing.T) {
	count, lasting := 20, 2*time.Second
	if os.Getenv("GRAFTSLIP_PHONES") == "full" {
		count, lasting = 50, 30*time.Second
	}
	for _, each := range []struct {
		reason string
		pause  time.Duration
		most   time.Duration // for the 99th percentile of an entry; generous, as the machine may have other work
	}{
		{"people who look at a plant a second", time.Second, 3 * time.Second},
		{"all as fast as they can", 0, 8 * time.Second},
	} {
		t.Run(each.reason, func(t *testing.T) { phonesAtOnce(t, count, lasting, each.pause, each.most) })
	}
}

func phonesAtOnce(t *testing.T, count int, lasting, pause, most time.Duration) {
	path, batches := newBook(t, count)
	s := serve(t, path)
	gets, posts, lists := &timings{}, &timings{}, &timings{}
	benchers := make([]*bencher, count)
	for i := range benchers {
		name := fmt.Sprintf("P%02d", i+1)
		benchers[i] = &bencher{name: name, phone: s.letIn(t, name), address: s.address, batch: batches[i], pause: pause,
			random: rand.New(rand.NewPCG(1, uint64(i))), kept: map[string]string{}, gets: gets, posts: posts, lists: lists}
		benchers[i].phone.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	}
	ctx, end := context.WithTimeout(t.Context(), lasting)
	defer end()
	var group errgroup.Group
	for _, b := range benchers {
		group.Go(func() error { return b.work(ctx) })
	}
	require.NoError(t, group.Wait())
	require.Zero(t, s.end(t))
	require.Empty(t, s.errs.String())

	sent, twice := 0, 0
	for _, b := range benchers {
		sent += len(b.kept)
		twice += b.twice
		require.Equal(t, b.kept, keptOf(t, path, b.batch.Code, b.name), b.name)
	}
	require.NotZero(t, twice)
	t.Logf("phones: %d for %v with %v between entries: %d entries kept, %d of them sent twice; POST %v; GET %v; lists %v",
		count, lasting, pause, sent, twice, posts, gets, lists)
	require.Less(t, posts.list[int(0.99*float64(len(posts.list)-1))], most)
}

// keptOf is what a ledger holds about a batch: the unit and the words of an entry,
// by its key.
func keptOf(t *testing.T, path string, batch codes.Code, by string) map[string]string {
	book, err := ledger.OpenExisting(t.Context(), path)
	require.NoError(t, err)
	defer book.Close()
	history, err := book.History(t.Context(), batch)
	require.NoError(t, err)
	kept := map[string]string{}
	for _, entry := range history.Entries(batch) {
		require.Equal(t, by, entry.By)
		kept[entry.Key] = entry.Unit.String() + " " + entry.Words()
	}
	require.Len(t, kept, len(history.Entries(batch)), "each key once")
	return kept
}
