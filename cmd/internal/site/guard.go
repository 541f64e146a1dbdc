package site

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"strconv"
	"strings"

	"graftslip/codes"
)

// Sizes of what a phone may send, in bytes.
const (
	mostForm  = 64 << 10
	mostPhoto = 24 << 20
)

// guard stands before all answers: headers, sizes, other sites, and what goes
// wrong in the program itself.
func (s *Site) guard(inside http.Handler) http.Handler {
	own := http.NewCrossOriginProtection()
	own.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(&visit{w, r, phone{}}, refuse(http.StatusForbidden, "open the page itself and enter it there", "this was sent by another page"))
	}))
	protected := own.Handler(inside)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range headers() {
			w.Header().Set(name, value)
		}
		defer func() {
			if wrong := recover(); wrong != nil {
				s.Trouble(fmt.Errorf("%v\n%s", wrong, debug.Stack()))
				s.fail(&visit{w, r, phone{}}, refuse(http.StatusInternalServerError, "look there", "something is wrong at the computer"))
			}
		}()
		most := int64(mostForm)
		if r.URL.Path == "/scan" {
			most = mostPhoto
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		protected.ServeHTTP(w, r)
	})
}

// headers keep other pages out, and scripts and styles that are not our own.
func headers() map[string]string {
	return map[string]string{
		"Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; " +
			"form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
		"X-Content-Type-Options":       "nosniff",
		"X-Frame-Options":              "DENY",
		"Referrer-Policy":              "same-origin",
		"Cross-Origin-Opener-Policy":   "same-origin",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Permissions-Policy":           "geolocation=(), microphone=()",
		"Cache-Control":                "no-store",
	}
}

// cookie names what a phone is known by. A phone gives the cookies of a machine
// to all that it serves, so each port has one of its own, and so has a page that
// only reads.
func (s *Site) cookie(r *http.Request) string {
	_, port, err := net.SplitHostPort(r.Host)
	if _, wrong := strconv.ParseUint(port, 10, 16); err != nil || wrong != nil {
		port = "80" // which a browser leaves out
	}
	if s.ReadOnly {
		return "graftslip-reader-" + port
	}
	return "graftslip-phone-" + port
}

type phoneKey struct{}

func phoneOf(ctx context.Context) phone {
	known, _ := ctx.Value(phoneKey{}).(phone)
	return known
}

// onlyPhones lets phones pass that were let in, and asks others for the key.
func (s *Site) onlyPhones(inside http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if carried, err := r.Cookie(s.cookie(r)); err == nil {
			if known, is := s.door.knows(carried.Value); is {
				inside.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), phoneKey{}, known)))
				return
			}
		}
		v := &visit{w, r, phone{}}
		refused := &refusal{status: http.StatusUnauthorized, err: errors.New("this phone was not let in yet")}
		if wantsJSON(r) {
			s.fail(v, refused)
			return
		}
		asked := keyPage{Target: strings.TrimPrefix(r.URL.Path, "/")}
		if code, err := codes.FromSymbol(asked.Target); err == nil && r.Method == http.MethodGet && !r.URL.Query().Has("again") {
			asked.Again = "/" + plain(code) + "?again"
		}
		s.askForKey(v, http.StatusUnauthorized, asked, newProblem("this phone was not let in yet, or its time is up",
			"scan the code at the computer that runs this page, or type the key that stands below it"))
	})
}

// change takes what changes something: it carries the token of the phone's own
// forms, and is refused by a page that only reads.
func (s *Site) change(answer func(*visit) error) http.HandlerFunc {
	return s.handle(func(v *visit) error {
		if s.ReadOnly {
			return refuse(http.StatusForbidden, "ask whoever runs the page", "this page only reads")
		}
		if err := v.readForm(); err != nil {
			return err
		}
		if !v.phone.holds(v.PostForm.Get("token")) {
			return refuse(http.StatusForbidden, "open the page anew and enter it again", "this was sent by another page, or by an old one")
		}
		return answer(v)
	})
}

// readForm reads the fields of a form.
func (v *visit) readForm() error {
	err := v.ParseForm()
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return refuse(http.StatusRequestEntityTooLarge, "send less at once", "what was sent is too large")
	case err != nil:
		return refuse(http.StatusBadRequest, "open the page anew and enter it again", "what was sent cannot be read")
	}
	return nil
}

// addressOf is the machine that a request comes from. One machine has a whole
// network of IPv6 addresses, which stand for it together.
func addressOf(r *http.Request) string {
	const network = 64
	from, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	address := from.Addr().Unmap()
	if address.Is6() {
		return netip.PrefixFrom(address.WithZone(""), network).Masked().String()
	}
	return address.String()
}

func wantsJSON(r *http.Request) bool { return r.Header.Get("Accept") == "application/json" }

// asset gives the stylesheet, the scripts and the picture of the page.
func (s *Site) asset() http.Handler {
	serve := http.StripPrefix("/assets/", http.FileServerFS(s.assets))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if info, err := fs.Stat(s.assets, strings.TrimPrefix(r.URL.Path, "/assets/")); err != nil || info.IsDir() {
			s.fail(&visit{w, r, phone{}}, refuse(http.StatusNotFound, "", "there is no such page"))
			return
		}
		if r.URL.Query().Get("v") == s.version {
			w.Header().Set("Cache-Control", "max-age=86400")
		}
		serve.ServeHTTP(w, r)
	})
}

// digest tells one state of files from others.
func digest(files fs.FS) (string, error) {
	sum := sha256.New()
	err := fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := fs.ReadFile(files, name)
		sum.Write(content)
		return err
	})
	return hex.EncodeToString(sum.Sum(nil))[:12], err
}
