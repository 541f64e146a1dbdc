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

// admission holds the key for the next phone and the phones already admitted.
type admission struct {
	book     *ledger.Ledger // nil: phones are remembered only while the program runs
	writing  writeLock
	now      func() time.Time
	admitted chan struct{}

	admitting sync.Mutex // admits one phone at a time; the ledger may be slow

	mutex    sync.Mutex // guards what follows
	key      string
	phones   map[string]ledger.Phone // by hash
	attempts map[string]*rate.Limiter
	all      *rate.Limiter
}

const (
	admittedFor = 180 * 24 * time.Hour // how long a phone stays admitted

	// One address may try a few wrong keys in a row, then one now and then.
	attemptsAtOnce = 5
	attemptEvery   = 10 * time.Second
	maxAddresses   = 1000
	// All addresses together may try so many keys a second. An attacker who invents
	// addresses would need 300 years for half of the keys.
	attemptsOfAll = 50
)

var (
	errWrongKey        = errors.New("this is not the key")
	errTooManyAttempts = errors.New("too many wrong keys were tried")
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

// currentKey returns the key for the next phone.
func (a *admission) currentKey() string {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	return a.key
}

// admit admits a phone that sends the key, and returns the token of its cookie.
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

// check compares a key with the current one. It refuses any key, right or wrong,
// after too many wrong ones from this address or from all addresses.
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

// limiter counts the attempts of an address. When there are too many addresses, those
// with all their attempts left are forgotten; the others stay.
func (a *admission) limiter(address string, now time.Time) *rate.Limiter {
	if a.attempts[address] == nil {
		if len(a.attempts) >= maxAddresses {
			maps.DeleteFunc(a.attempts, func(_ string, l *rate.Limiter) bool { return l.TokensAt(now) >= attemptsAtOnce })
		}
		a.attempts[address] = rate.NewLimiter(rate.Every(attemptEvery), attemptsAtOnce)
	}
	return a.attempts[address]
}

// remember adds a phone, drops those whose time is up, and changes the key.
func (a *admission) remember(known ledger.Phone) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	now := a.now()
	maps.DeleteFunc(a.phones, func(_ string, p ledger.Phone) bool { return !now.Before(p.Until) })
	a.phones[known.Hash] = known
	a.key = newKey()
	select {
	case a.admitted <- struct{}{}:
	default: // a signal is waiting already
	}
}

// phone returns the phone with a token. The lookup is by hash, so that its duration
// reveals nothing about other tokens.
func (a *admission) phone(token string) (phone, bool) {
	a.mutex.Lock()
	defer a.mutex.Unlock()
	known, is := a.phones[hashOf(token)]
	if !is || !a.now().Before(known.Until) {
		return phone{}, false
	}
	return phone{name: known.Name, formToken: formToken(token)}, true
}

// newToken draws 256 random bits.
func newToken() string {
	secret := make([]byte, 32)
	_, _ = rand.Read(secret) // it never fails
	return base64.RawURLEncoding.EncodeToString(secret)
}

// newKey draws twelve random digits, few enough to type.
func newKey() string {
	n, err := rand.Int(rand.Reader, big.NewInt(1_000_000_000_000))
	if err != nil {
		panic(err) // rand.Reader never fails
	}
	return fmt.Sprintf("%012d", n)
}

func isKey(text string) bool { return len(text) == 12 && allDigits(text) }

// phone is an admitted phone; the zero phone is a stranger's.
type phone struct {
	name      string // of the person who holds it
	formToken string // guards its forms against cross-site requests
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

// maxName is the most letters a name may have.
const maxName = 40

// keyPage asks for the key.
type keyPage struct {
	Key    string // if the address holds it
	Target string // code of the record to open afterwards; may be empty
	Name   string
	// Again is the requested address, for one more try; empty on the second. A phone
	// sends its cookie with no request that begins elsewhere, such as in its camera,
	// so the page itself asks again.
	Again string
}

// keyForm asks for a name. The key in the address is used up only when the form is
// sent, since some phones fetch an address before they open it.
func (s *Site) keyForm(r *request) error {
	s.askForKey(r, http.StatusOK, keyPage{Key: r.PathValue("key")}, nil)
	return nil
}

// askForKey shows the form, with a problem if there is one.
func (s *Site) askForKey(r *request, status int, asked keyPage, wrong *problem) {
	if _, err := codes.Parse(asked.Target); err != nil {
		asked.Target = ""
	}
	if !isKey(asked.Key) {
		asked.Key = ""
	}
	s.render(r, status, "open", frame{Title: "Let this phone in", Problem: wrong, Again: asked.Again, Body: asked})
}

// admit admits a phone and sets its cookie.
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
		return &refusal{status: http.StatusTooManyRequests, err: err, hint: "wait half a minute, then try again with the key on the screen now"}
	case errors.Is(err, errWrongKey):
		select { // slows down guessing
		case <-time.After(s.WrongKeyDelay):
		case <-r.Context().Done():
		}
		s.askForKey(r, http.StatusForbidden, keyPage{Target: r.PostForm.Get("target"), Name: name},
			newProblem(err.Error(), "each key lets in one phone: use the key on the screen now"))
		return nil
	case err != nil:
		return err
	}
	http.SetCookie(r.out, &http.Cookie{
		Name: s.cookie(r.Request), Value: token, Path: "/", MaxAge: int(admittedFor.Seconds()),
		HttpOnly: true, SameSite: http.SameSiteStrictMode})
	target := "/scan"
	if code, err := codes.Parse(r.PostForm.Get("target")); err == nil {
		target = recordPath(code)
	}
	return r.redirect(target)
}
