package site

import (
	"net/http"
	"strconv"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
)

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

// openForm asks whose phone it is. The key of the address is spent only when the
// form is sent, since some phones look at an address before they open it.
func (s *Site) openForm(v *visit) error {
	s.askForKey(v, http.StatusOK, keyPage{Key: v.PathValue("key")}, nil)
	return nil
}

// askForKey shows the form, with what is wrong if anything is.
func (s *Site) askForKey(v *visit, status int, asked keyPage, wrong *problem) {
	if _, err := codes.Parse(asked.Target); err != nil {
		asked.Target = ""
	}
	if !isKey(asked.Key) {
		asked.Key = ""
	}
	s.render(v, status, "open", frame{Title: "Let this phone in", Problem: wrong, Again: asked.Again, Body: asked})
}

func isKey(text string) bool {
	return len(text) == 12 && strings.Trim(text, "0123456789") == ""
}

// open lets a phone in.
func (s *Site) open(v *visit) error {
	if err := v.readForm(); err != nil {
		return err
	}
	key := strings.Join(strings.FieldsFunc(v.PostForm.Get("key"), func(r rune) bool { return r == '-' || unicode.IsSpace(r) }), "")
	name := line(v.PostForm.Get("name"), mostName)
	token, right, tooMany, err := s.door.open(v.Context(), key, name, addressOf(v.Request))
	if err != nil {
		return err
	}
	if tooMany {
		v.out.Header().Set("Retry-After", strconv.Itoa(int(trySpan.Seconds())))
		return refuse(http.StatusTooManyRequests, "wait half a minute, then try again with the key that is shown now", "wrong keys were tried too often")
	}
	if !right {
		select { // slows whoever tries many
		case <-time.After(s.Pause):
		case <-v.Context().Done():
		}
		s.askForKey(v, http.StatusForbidden, keyPage{Target: v.PostForm.Get("target"), Name: name},
			newProblem("this is not the key", "each key lets one phone in: take the one that is shown now"))
		return nil
	}
	http.SetCookie(v.out, &http.Cookie{Name: s.cookie(v.Request), Value: token, Path: "/", MaxAge: int(season.Seconds()), HttpOnly: true, SameSite: http.SameSiteStrictMode})
	target := "/scan"
	if code, err := codes.Parse(v.PostForm.Get("target")); err == nil {
		target = "/" + plain(code)
	}
	http.Redirect(v.out, v.Request, target, http.StatusSeeOther)
	return nil
}

// mostName is how many letters a name has at most.
const mostName = 40

// line makes one line of what was typed, without what cannot be seen, and cuts it
// to so many letters.
func line(text string, most int) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return -1
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(text, "")))
	letters := []rune(strings.Join(strings.Fields(text), " "))
	return string(letters[:min(len(letters), most)])
}

// plain is a code as it stands in an address.
func plain(code codes.Code) string { return strings.ReplaceAll(code.String(), "-", "") }
