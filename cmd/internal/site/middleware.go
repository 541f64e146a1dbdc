package site

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net"
	"net/http"
	"runtime/debug"
	"strconv"
	"strings"

	"graftslip/codes"
)

// Limits of what a phone may send, in bytes.
const (
	maxForm  = 64 << 10
	maxPhoto = 24 << 20
)

// protect sets headers, limits sizes, refuses requests from other sites, and reports
// panics.
func (s *Site) protect(inside http.Handler) http.Handler {
	own := http.NewCrossOriginProtection()
	own.SetDenyHandler(s.handle(func(*request) error {
		return refuse(http.StatusForbidden, "open this page and enter it here", "another website sent this")
	}))
	protected := own.Handler(inside)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for name, value := range headers() {
			w.Header().Set(name, value)
		}
		defer func() {
			if wrong := recover(); wrong != nil {
				s.Report(fmt.Errorf("%v\n%s", wrong, debug.Stack()))
				s.fail(requestOf(w, r), internalError())
			}
		}()
		most := int64(maxForm)
		if r.URL.Path == "/scan" {
			most = maxPhoto
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		protected.ServeHTTP(w, r)
	})
}

// headers forbid frames, and scripts and styles other than the site's own.
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

// cookie returns the name of the cookie. Browsers share cookies among all ports of a
// machine, so each port has a name of its own, and so has a read-only page.
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

// requireAdmission passes on requests of admitted phones, and asks others for the key.
func (s *Site) requireAdmission(inside http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if carried, err := r.Cookie(s.cookie(r)); err == nil {
			if known, is := s.admission.phone(carried.Value); is {
				inside.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), phoneKey{}, known)))
				return
			}
		}
		unknown := requestOf(w, r)
		if unknown.fromScript() {
			s.fail(unknown, refuse(http.StatusUnauthorized, "", "this phone is not let in yet"))
			return
		}
		asked := keyPage{Target: strings.TrimPrefix(r.URL.Path, "/")}
		if code, err := codes.FromSymbol(asked.Target); err == nil && r.Method == http.MethodGet && !r.URL.Query().Has("again") {
			asked.Again = recordPath(code) + "?again"
		}
		s.askForKey(unknown, http.StatusUnauthorized, asked, newProblem("this phone is not let in yet, or its half year is over",
			"scan the code on the screen of the computer that runs slipread serve, or enter the key below it"))
	})
}

// withFormToken handles a form that changes something. The form must carry the
// phone's form token; a read-only page refuses it.
func (s *Site) withFormToken(answer func(*request) error) http.HandlerFunc {
	return s.handle(func(r *request) error {
		if s.ReadOnly {
			return refuse(http.StatusForbidden, "ask the person who runs it", "this page is view only")
		}
		if err := r.readForm(); err != nil {
			return err
		}
		if !r.phone.holds(r.PostForm.Get("token")) {
			return refuse(http.StatusForbidden, "reload the page and enter it again", "this came from an old page, or from another website")
		}
		return answer(r)
	})
}

// serveAssets serves the stylesheet, the scripts and the icon.
func (s *Site) serveAssets() http.Handler {
	serve := http.StripPrefix("/assets/", http.FileServerFS(s.assets))
	return s.handle(func(r *request) error {
		if info, err := fs.Stat(s.assets, strings.TrimPrefix(r.URL.Path, "/assets/")); err != nil || info.IsDir() {
			return refuse(http.StatusNotFound, "", "there is no such page")
		}
		if r.URL.Query().Get("v") == s.version {
			r.out.Header().Set("Cache-Control", "max-age=86400")
		}
		serve.ServeHTTP(r.out, r.Request)
		return nil
	})
}

// versionOf returns a hash of the files, in 12 hexadecimal digits.
func versionOf(files fs.FS) (string, error) {
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
