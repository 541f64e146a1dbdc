package site

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"math/big"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"golang.org/x/time/rate"

	"graftslip/codes"
	"graftslip/records/ledger"
)

// admission knows the key that lets the next phone in, and the phones that are in.
type admission struct {
	book     *ledger.Ledger // nil: phones are remembered as long as this runs
	writing  writeLock
	now      func() time.Time
	admitted chan struct{}

	admitting sync.Mutex // lets phones in one after the other; the ledger may take its time

	mutex    sync.Mutex // guards what follows
	key      string
	phones   map[string]ledger.Phone // by hash
	attempts map[string]*rate.Limiter
	all      *rate.Limiter
}

const (
	admittedFor = 180 * 24 * time.Hour // how long a phone is let in

	// A wrong key may be tried so often at once by an address, then once in a while.
	attemptsAtOnce = 5
	attemptEvery   = 10 * time.Second
	maxAddresses   = 1000
	// All together may try so often a second, so that who makes addresses up cannot
	// keep others out: he would need 300 years for half of the keys.
	attemptsOfAll = 50
)

var (
	errWrongKey        = errors.New("this is not the key")
	errTooManyAttempts = errors.New("wrong keys were tried too often")
)

func newAdmission(ctx context.Context, options Options, writing writeLock) (*admission, error) {
	a := &admission{writing: writing, now: options.Now, admitted: make(chan struct{}, 1), key: newKey(), phones: map[string]ledger.Phone{},
		attempts: map[string]*rate.Limiter{}, all: rate.NewLimiter(attemptsOfAll, attemptsOfAll)}
	if options.ReadOnly {
		return a, nil
	}
	a.book = options.Ledger
	phones, err := a.book.Phones(ctx)
	for _, phone := range phones {
		a.phones[phone.Hash] = phone
	}
	return a, err
}

// currentKey returns the key that lets the next phone in.
func (a *admission) currentKey() string {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	return a.key
}

// admit lets a phone in that brings the key, and gives it a token to be known by.
// The error is errWrongKey, errTooManyAttempts or the ledger's.
func (a *admission) admit(ctx context.Context, key, name, address string) (token string, err error) {
	a.admitting.Lock()
	defer a.admitting.Unlock()
	if err := a.check(key, address); err != nil {
		return "", err
	}
	token = newToken()
	known := ledger.Phone{Hash: hashOf(token), Name: name, Until: a.now().Add(admittedFor)}
	if a.book != nil {
		if err := a.writing.hold(ctx, func() error { return a.book.OpenPhone(ctx, known) }); err != nil {
			return "", err
		}
	}
	a.remember(known)
	return token, nil
}

// check compares a key with the one that lets the next phone in. It does not even
// look at it when wrong ones were tried too often from an address or from all.
func (a *admission) check(key, address string) error {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	now := a.now()
	own := a.limiter(address, now)
	if a.all.TokensAt(now) < 1 || own.TokensAt(now) < 1 {
		return errTooManyAttempts
	}
	given, wanted := sha256.Sum256([]byte(key)), sha256.Sum256([]byte(a.key))
	if subtle.ConstantTimeCompare(given[:], wanted[:]) == 1 {
		return nil
	}
	own.AllowN(now, 1)
	a.all.AllowN(now, 1)
	return errWrongKey
}

// limiter counts the attempts of an address. Addresses that may try as often as at
// first are forgotten when there are too many; those that may not stay known.
func (a *admission) limiter(address string, now time.Time) *rate.Limiter {
	if a.attempts[address] == nil {
		if len(a.attempts) >= maxAddresses {
			maps.DeleteFunc(a.attempts, func(_ string, l *rate.Limiter) bool { return l.TokensAt(now) >= attemptsAtOnce })
		}
		a.attempts[address] = rate.NewLimiter(rate.Every(attemptEvery), attemptsAtOnce)
	}
	return a.attempts[address]
}

// remember takes a phone among those that are in, forgets those whose time is up,
// and changes the key.
func (a *admission) remember(known ledger.Phone) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	now := a.now()
	maps.DeleteFunc(a.phones, func(_ string, p ledger.Phone) bool { return !now.Before(p.Until) })
	a.phones[known.Hash] = known
	a.key = newKey()
	select {
	case a.admitted <- struct{}{}:
	default: // a signal waits already
	}
}

// phone returns the phone that carries a token. Phones are looked up by a hash, so
// that the time it takes tells nothing of the tokens of others.
func (a *admission) phone(token string) (phone, bool) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	known, is := a.phones[hashOf(token)]
	if !is || !a.now().Before(known.Until) {
		return phone{}, false
	}
	return phone{name: known.Name, formToken: formToken(token)}, true
}

// newToken draws 256 bits, which nobody can guess.
func newToken() string {
	secret := make([]byte, 32)
	_, _ = rand.Read(secret) // it never fails
	return base64.RawURLEncoding.EncodeToString(secret)
}

// newKey draws twelve digits, which a person can type.
func newKey() string {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000_000_000))
	if err != nil {
		panic(err) // the reader of crypto/rand gives no errors
	}
	return fmt.Sprintf("%012d", n)
}

func isKey(text string) bool { return len(text) == 12 && allDigits(text) }

// phone is a phone that was let in.
type phone struct {
	name      string // of who has it
	formToken string // what its forms carry to show that they are of this page
}

// holds reports whether a form carries the token of the phone.
func (p phone) holds(token string) bool {
	return p.formToken != "" && subtle.ConstantTimeCompare([]byte(p.formToken), []byte(token)) == 1
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

// maxName is how many letters a name has at most.
const maxName = 40

// keyPage asks for the key that lets a phone in.
type keyPage struct {
	Key    string // as far as it is known
	Target string // code of the record to go on to; may be empty
	Name   string
	// Again is the address that asked, once more; it is empty when it did so
	// already. A phone shows its cookie to no request that begins elsewhere, such
	// as in its camera, so the page itself asks once more.
	Again string
}

// keyForm asks whose phone it is. The key of the address is spent only when the
// form is sent, since some phones look at an address before they open it.
func (s *Site) keyForm(r *request) error {
	s.askForKey(r, http.StatusOK, keyPage{Key: r.PathValue("key")}, nil)
	return nil
}

// askForKey shows the form, with what is wrong if anything is.
func (s *Site) askForKey(r *request, status int, asked keyPage, wrong *problem) {
	if _, err := codes.Parse(asked.Target); err != nil {
		asked.Target = ""
	}
	if !isKey(asked.Key) {
		asked.Key = ""
	}
	s.render(r, status, "open", frame{Title: "Let this phone in", Problem: wrong, Again: asked.Again, Body: asked})
}

// admit lets a phone in.
func (s *Site) admit(r *request) error {
	if err := r.readForm(); err != nil {
		return err
	}
	key := strings.Join(strings.FieldsFunc(r.PostForm.Get("key"), func(r rune) bool { return r == '-' || unicode.IsSpace(r) }), "")
	name := cleanLine(r.PostForm.Get("name"), maxName)
	token, err := s.admission.admit(r.Context(), key, name, r.address())
	switch {
	case errors.Is(err, errTooManyAttempts):
		r.out.Header().Set("Retry-After", strconv.Itoa(int(attemptEvery.Seconds())))
		return &refusal{status: http.StatusTooManyRequests, err: err, hint: "wait half a minute, then try again with the key that is shown now"}
	case errors.Is(err, errWrongKey):
		select { // slows whoever tries many
		case <-time.After(s.WrongKeyDelay):
		case <-r.Context().Done():
		}
		s.askForKey(r, http.StatusForbidden, keyPage{Target: r.PostForm.Get("target"), Name: name},
			newProblem(err.Error(), "each key lets one phone in: take the one that is shown now"))
		return nil
	case err != nil:
		return err
	}
	http.SetCookie(r.out, &http.Cookie{Name: s.cookie(r.Request), Value: token, Path: "/", MaxAge: int(admittedFor.Seconds()), HttpOnly: true, SameSite: http.SameSiteStrictMode})
	target := "/scan"
	if code, err := codes.Parse(r.PostForm.Get("target")); err == nil {
		target = recordPath(code)
	}
	return r.redirect(target)
}
