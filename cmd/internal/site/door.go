package site

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"maps"
	"math/big"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"graftslip/records/ledger"
)

// door knows the key that lets the next phone in, and the phones that are in.
type door struct {
	book    *ledger.Ledger // nil: phones are remembered as long as this runs
	writing turns
	now     func() time.Time
	opened  chan struct{}

	opening sync.Mutex // lets phones in one after the other; the ledger may take its time

	mutex  sync.Mutex // guards what follows
	key    string
	phones map[string]ledger.Phone // by hash
	tries  map[string]*rate.Limiter
	all    *rate.Limiter
}

const (
	season = 180 * 24 * time.Hour // how long a phone is let in

	// A wrong key may be tried so often at once by an address, then once in a while.
	triesAtOnce   = 5
	trySpan       = 10 * time.Second
	mostAddresses = 1000
	// All together may try so often a second, so that who makes addresses up does
	// not hold the door shut: he would need 300 years for half of the keys.
	triesOfAll = 50
)

func newDoor(ctx context.Context, options Options, writing turns) (*door, error) {
	d := &door{writing: writing, now: options.Now, opened: make(chan struct{}, 1), phones: map[string]ledger.Phone{},
		tries: map[string]*rate.Limiter{}, all: rate.NewLimiter(triesOfAll, triesOfAll)}
	var err error
	if d.key, err = newKey(); err != nil {
		return nil, err
	}
	if options.ReadOnly {
		return d, nil
	}
	d.book = options.Book
	phones, err := d.book.Phones(ctx)
	for _, phone := range phones {
		d.phones[phone.Hash] = phone
	}
	return d, err
}

// newKey draws twelve digits, which a person can type.
func newKey() (string, error) {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000_000_000))
	if err != nil {
		return "", err
	}
	return fmt.Sprintf("%012d", n), nil
}

// Key returns the key that lets the next phone in.
func (d *door) Key() string {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.key
}

// try compares a key with the one that lets the next phone in. It reports false
// for a wrong one, and tooMany, without a look at the key, when wrong ones were
// tried too often from an address or from all.
func (d *door) try(key, address string) (right, tooMany bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	now := d.now()
	own := d.limiter(address, now)
	if d.all.TokensAt(now) < 1 || own.TokensAt(now) < 1 {
		return false, true
	}
	given, wanted := sha256.Sum256([]byte(key)), sha256.Sum256([]byte(d.key))
	if subtle.ConstantTimeCompare(given[:], wanted[:]) == 1 {
		return true, false
	}
	own.AllowN(now, 1)
	d.all.AllowN(now, 1)
	return false, false
}

// limiter counts the tries of an address. Addresses that may try as often as at
// first are forgotten when there are too many; those that may not stay known.
func (d *door) limiter(address string, now time.Time) *rate.Limiter {
	if d.tries[address] == nil {
		if len(d.tries) >= mostAddresses {
			maps.DeleteFunc(d.tries, func(_ string, l *rate.Limiter) bool { return l.TokensAt(now) >= triesAtOnce })
		}
		d.tries[address] = rate.NewLimiter(rate.Every(trySpan), triesAtOnce)
	}
	return d.tries[address]
}

// open lets a phone in that brings the key, and gives it a token to be known by.
// It reports false for a wrong key, and tooMany as try does.
func (d *door) open(ctx context.Context, key, name, address string) (token string, right, tooMany bool, err error) {
	d.opening.Lock()
	defer d.opening.Unlock()
	if right, tooMany = d.try(key, address); !right {
		return "", false, tooMany, nil
	}
	next, err := newKey()
	if err != nil {
		return "", false, false, err
	}
	secret := make([]byte, 32)
	if _, err := rand.Read(secret); err != nil {
		return "", false, false, err
	}
	token = base64.RawURLEncoding.EncodeToString(secret)
	known := ledger.Phone{Hash: hashOf(token), Name: name, Until: d.now().Add(season)}
	if d.book != nil {
		if err := d.writing.take(ctx, func() error { return d.book.OpenPhone(ctx, known) }); err != nil {
			return "", false, false, err
		}
	}
	d.letIn(known, next)
	return token, true, false, nil
}

func (d *door) letIn(known ledger.Phone, next string) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	now := d.now()
	maps.DeleteFunc(d.phones, func(_ string, p ledger.Phone) bool { return !now.Before(p.Until) })
	d.phones[known.Hash] = known
	d.key = next
	select {
	case d.opened <- struct{}{}:
	default: // a signal waits already
	}
}

// knows returns the phone that carries a token. Phones are looked up by a hash,
// so that time tells nothing of the tokens of others.
func (d *door) knows(token string) (phone, bool) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	known, is := d.phones[hashOf(token)]
	if !is || !d.now().Before(known.Until) {
		return phone{}, false
	}
	return phone{name: known.Name, form: formToken(token)}, true
}

// phone is a phone that was let in.
type phone struct {
	name string // of who has it
	form string // what its forms carry to show that they are of this page
}

// holds reports whether a form carries the token of the phone.
func (p phone) holds(token string) bool {
	return p.form != "" && subtle.ConstantTimeCompare([]byte(p.form), []byte(token)) == 1
}

func hashOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

func formToken(token string) string {
	mac := hmac.New(sha256.New, []byte(token))
	mac.Write([]byte("forms"))
	return hex.EncodeToString(mac.Sum(nil))
}
