package site

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // for its header
	_ "image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
)

const (
	maxPixels = 50_000_000 // of a picture, and of all that are looked at
	// So many pictures at once, to keep a few phones from filling the memory.
	maxUploads  = 8
	maxDecoding = 2

	photoTime = 20 * time.Second // for one picture, with the wait for others

	// A hand scanner may type all that a card carries, or a link to a record.
	maxTyped, maxShown = 600, 60 // letters
)

// scanPage takes a photo or a code.
type scanPage struct{ Typed string }

// scan shows the page, or goes to the record of a code that was typed.
func (s *Site) scan(r *request) error {
	typed := cleanLine(r.URL.Query().Get("code"), maxTyped)
	if typed == "" {
		s.render(r, http.StatusOK, "scan", frame{Title: "Scan", Here: "scan", Body: scanPage{}})
		return nil
	}
	code, err := codes.FromSymbol(typed)
	if err == nil {
		return r.redirect(recordPath(code))
	}
	return s.showCandidates(r, typed, err)
}

// showCandidates lists the records that something may be which is no code, and says why
// it is none.
func (s *Site) showCandidates(r *request, typed string, why error) error {
	// Keys for a star and a point stand beside the digits; a question mark does not.
	candidates, err := s.Candidates(r.Context(), strings.NewReplacer("*", "?", "#", "?", ".", "?").Replace(typed))
	if err != nil {
		return err
	}
	page := foundPage{Damaged: true}
	for _, record := range candidates[:min(len(candidates), maxFound)] {
		page.add(record)
	}
	hint := "look at the plant before you believe one of these"
	if len(candidates) == 0 {
		hint = "a code has 14 digits; type * for one that cannot be read"
	}
	f := frame{Title: "No code", Here: "scan", Problem: newProblem(fmt.Sprintf("“%s” is no code as it stands: %v", cleanLine(typed, maxShown), why), hint), Body: page}
	s.render(r, http.StatusNotFound, "found", f)
	return nil
}

// looksLikeCode reports whether an address may be meant for a code: digits, about as
// many as a code has.
func looksLikeCode(text string) bool {
	const fewest, most = 12, 16
	digits := strings.ReplaceAll(text, "-", "")
	return len(digits) >= fewest && len(digits) <= most && allDigits(digits)
}

// foundPage lists the records of one photo, or those that a damaged code may be.
type foundPage struct {
	Records []foundRecord
	Others  []string // what was seen and leads to no record
	Damaged bool
}

type foundRecord struct {
	Code       codes.Code
	Pair, Unit string
}

func (f *foundPage) add(r records.Record) {
	f.Records = append(f.Records, foundRecord{r.Code, records.Pair(r.Batch.Variety, r.Batch.Stock), r.Batch.UnitWords(r.Code)})
}

// photo reads the codes of a photo: one goes to its record, several to a list.
func (s *Site) photo(r *request) error {
	reading, err := s.readPhoto(r)
	if err != nil {
		return err
	}
	seen := url.Values{}
	for _, found := range reading.Found {
		if code, err := codes.FromSymbol(found.Text); err == nil && !slices.Contains(seen["code"], code.Compact()) {
			seen.Add("code", code.Compact())
		}
	}
	for _, missed := range reading.Missed {
		seen.Add("missed", strconv.Itoa(int(missed.Reason)))
	}
	switch {
	case len(seen["code"]) == 0 && len(seen["missed"]) == 0:
		return refuse(http.StatusNotFound, "go closer, with the whole code on the photo, straight on and in even light, or type the code", "no code was found on this photo")
	case len(seen["code"]) == 0:
		return refuse(http.StatusNotFound, (&scan.MissedError{Missed: reading.Missed[0]}).Hint(), "a code was seen and could not be read: %v", reading.Missed[0].Reason)
	case len(seen["code"]) == 1 && len(seen["missed"]) == 0:
		return r.redirect("/" + seen.Get("code"))
	}
	return r.redirect("/found?" + seen.Encode())
}

// maxFound is how many codes a list has at most.
const maxFound = 200

// found lists what was read on a photo.
func (s *Site) found(r *request) error {
	var page foundPage
	query := r.URL.Query()
	for _, text := range query["code"][:min(len(query["code"]), maxFound)] {
		code, err := codes.Parse(text)
		if err != nil {
			continue
		}
		record, err := s.Ledger.Find(r.Context(), code)
		switch {
		case errors.Is(err, ledger.ErrNotIssued):
			page.Others = append(page.Others, fmt.Sprintf("%v is not in the ledger", code))
		case err != nil:
			return err
		default:
			page.add(record)
		}
	}
	for _, text := range query["missed"][:min(len(query["missed"]), maxFound)] {
		if reason, err := strconv.Atoi(text); err == nil && reason >= int(scan.Unclear) && reason <= int(scan.CutOff) {
			page.Others = append(page.Others, fmt.Sprintf("one was seen and not read: %v", scan.Reason(reason)))
		}
	}
	title := fmt.Sprintf("%d codes", len(page.Records))
	if len(page.Records) == 1 {
		title = "1 code"
	}
	s.render(r, http.StatusOK, "found", frame{Title: title, Here: "scan", Body: page})
	return nil
}

// readPhoto reads the one picture that was sent. It keeps its place among those
// that are sent until it is read, since it is in memory until then.
func (s *Site) readPhoto(r *request) (scan.Reading, error) {
	waiting, end := context.WithTimeout(r.Context(), photoTime)
	defer end()
	if s.uploading.Acquire(waiting, 1) != nil {
		return scan.Reading{}, tooBusy()
	}
	defer s.uploading.Release(1)
	content, err := sentPhoto(r.Request)
	if err != nil {
		return scan.Reading{}, err
	}
	config, kind, err := image.DecodeConfig(bytes.NewReader(content))
	switch {
	case err != nil || kind != "jpeg" && kind != "png":
		return scan.Reading{}, refuse(http.StatusUnsupportedMediaType, "send a photo as JPEG or PNG", "this is no picture that can be read")
	case config.Width <= 0 || config.Height <= 0 || config.Width > maxPixels/config.Height:
		return scan.Reading{}, refuse(http.StatusRequestEntityTooLarge, fmt.Sprintf("send one of at most %d megapixels", maxPixels/1_000_000), "the picture is too large")
	}
	weight := weightOf(config, kind, content)
	if weight > maxPixels {
		return scan.Reading{}, refuse(http.StatusRequestEntityTooLarge, "send it as the camera took it, or smaller", "the picture is too large for one of its kind")
	}
	return s.read(r.Context(), content, weight)
}

// read reads a picture of a weight, when there is room for it beside others.
func (s *Site) read(ctx context.Context, content []byte, weight int64) (scan.Reading, error) {
	ctx, end := context.WithTimeout(ctx, photoTime)
	defer end()
	room := max(weight, maxPixels/maxDecoding)
	if s.decoding.Acquire(ctx, room) != nil {
		return scan.Reading{}, tooBusy()
	}
	defer s.decoding.Release(room)
	valid := func(text string) bool { _, err := codes.FromSymbol(text); return err == nil }
	for view, err := range s.ReadPhoto(ctx, bytes.NewReader(content), valid) {
		if err != nil && !errors.Is(err, context.DeadlineExceeded) {
			return scan.Reading{}, refuse(http.StatusUnprocessableEntity, "take the photo again", "the picture is damaged")
		}
		return view.Reading, nil
	}
	return scan.Reading{}, nil
}

func tooBusy() error {
	return refuse(http.StatusServiceUnavailable, "try again in a moment", "there are too many photos at once")
}

// sentPhoto is the picture of a form. It stays in memory.
func sentPhoto(r *http.Request) ([]byte, error) {
	unreadable := refuse(http.StatusBadRequest, "choose the photo again", "no photo was sent")
	parts, err := r.MultipartReader()
	if err != nil {
		return nil, unreadable
	}
	for {
		var part *multipart.Part
		if part, err = parts.NextPart(); err != nil {
			break
		}
		if part.FormName() != "photo" {
			continue
		}
		var content []byte
		if content, err = io.ReadAll(part); err == nil && len(content) > 0 {
			return content, nil
		}
		break
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, refuse(http.StatusRequestEntityTooLarge, fmt.Sprintf("send a photo of at most %d MB", maxPhoto>>20), "the photo is too large")
	}
	return nil, unreadable
}
