package main

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/spf13/pflag"
	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/testdata/browser"
)

// pointed is the text of the code that stands on a terminal of black on white
// characters, as a camera reads it.
func pointed(t *testing.T, screen string) string {
	t.Helper()
	const width, height = 8, 16
	lines := []string{}
	for line := range strings.Lines(screen) {
		if drawn, is := strings.CutPrefix(line, "\x1b[0;30;107m"); is {
			lines = append(lines, strings.TrimSuffix(drawn, "\x1b[0m\n"))
		}
	}
	require.NotEmpty(t, lines, "a code stands on the terminal")
	picture := image.NewGray(image.Rect(0, 0, width*len([]rune(lines[0])), height*len(lines)))
	draw.Draw(picture, picture.Rect, image.White, image.Point{}, draw.Src)
	for row, line := range lines {
		for column, letter := range []rune(line) {
			cell := image.Rect(0, 0, width, height).Add(image.Pt(column*width, row*height))
			switch letter {
			case '▀':
				cell.Max.Y -= height / 2
			case '▄':
				cell.Min.Y += height / 2
			case ' ':
				continue
			}
			draw.Draw(picture, cell, image.NewUniform(color.Black), image.Point{}, draw.Src)
		}
	}
	found, err := scan.Picture(t.Context(), picture, nil)
	require.NoError(t, err)
	require.Len(t, found, 1)
	return found[0].Text
}

// cardPhoto is a file with the printed card of a code, as JPEG.
func (h *house) cardPhoto(renderer *scan.Renderer, batch records.Batch, code codes.Code) string {
	h.t.Helper()
	flags := command.NewPrintFlags()
	flags.Register(pflag.NewFlagSet("tags", pflag.ContinueOnError))
	maker, err := newReprinter(flags)
	require.NoError(h.t, err)
	_, content, err := maker.Reprint(h.t.Context(), records.Record{Batch: batch, Code: code}, 1)
	require.NoError(h.t, err)
	path := filepath.Join(h.t.TempDir(), "card.jpg")
	for page, err := range renderer.Pages(h.t.Context(), content, 200) {
		require.NoError(h.t, err)
		var file bytes.Buffer
		require.NoError(h.t, jpeg.Encode(&file, page, &jpeg.Options{Quality: 85}))
		require.NoError(h.t, os.WriteFile(path, file.Bytes(), 0o600))
	}
	return path
}

// TestPhoneStory is a morning at the mist bed.
func browserStory(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	renderer := pageRenderer(t)
	s := h.serve("127.0.0.1:0", "--nursery", "Low Ferry Grafts")
	tray := h.tray(2)

	// The phone's camera reads the address off the terminal.
	opening := pointed(t, s.screen.String())
	require.Equal(t, s.opening(), opening)
	p := b.Phone(t, s.named(), h.clock.now())
	p.Open(strings.TrimPrefix(opening, s.address()))
	p.Type("#name", "Ivo R")
	p.Tap("button.main")
	p.UntilAt("/scan")
	require.Contains(t, p.Text("header"), "Ivo R")
	require.False(t, browser.Eval[bool](p, "isSecureContext"), "as on a phone")
	require.Equal(t, 2, len(s.openings(2)), "the next phone gets another key")
	require.NotEqual(t, opening, s.opening())

	// What is due is late: day 21 was two days ago.
	p.Tap("nav a[href='/due']")
	p.UntilAt("/due")
	require.Contains(t, p.Text("main"), "Check for new growth")
	require.Contains(t, p.Text("main"), "2 days late")

	p.Tap("nav a[href='/scan']")
	p.UntilAt("/scan")
	p.Upload("#photo", h.cardPhoto(renderer, h.batches[0], tray))
	p.UntilAt(recordAt(tray))
	require.Contains(t, p.Text("main"), "tray 2 of 2")
	require.Contains(t, p.Text("h1"), "Lantern Heron")

	// Counts by the buttons and typed.
	p.Tap("[aria-label='Alive: one less']")
	p.Tap("[aria-label='Alive: one less']")
	require.Equal(t, "16", p.Value("#alive"))
	p.Tap("[aria-label='Alive: one more']")
	require.Equal(t, "17", p.Value("#alive"))
	p.Type("#growing", "13")
	p.Tap("[aria-label='Dead: one more']")
	p.Type("#note", "one soft at the union")
	p.Tap("#counts button.main")
	p.UntilText(".saved", "Entry 1 saved")
	require.Equal(t, []string{"17 alive, 13 growing, 1 dead; note one soft at the union"}, h.said(tray))
	require.Equal(t, "Ivo R", h.entries(tray)[0].By)
	require.Empty(t, p.Value("#alive")+p.Value("#growing")+p.Value("#note"), "what was kept is not typed any more")
	require.Contains(t, p.Text(".tally"), "17")

	// Most of the tray grows: it is due to be hardened off, and no more to be looked at.
	p.Tap("nav a[href='/due']")
	p.UntilAt("/due")
	due := p.Text("a[href='" + recordAt(tray) + "']")
	require.Contains(t, due, "Harden off")
	require.NotContains(t, due, "Check for new growth")
	require.Contains(t, p.Text("a[href='"+recordAt(h.tray(1))+"']"), "Check for new growth")

	p.Tap("nav a[href='/bed']")
	p.UntilAt("/bed")
	require.Contains(t, p.Text("main"), "Slate Minuet")
	require.Contains(t, p.Text("main"), "Room ahead")
	p.Tap("a[href='" + recordAt(tray) + "']")
	p.UntilAt(recordAt(tray))
	p.Tap("button[value='out-of-mist']")
	p.UntilText(".saved", "Entry 2 saved")
	require.False(t, p.Has("button[value='out-of-mist']"))
	p.Tap("nav a[href='/bed']")
	p.UntilAt("/bed")
	require.False(t, p.Has("a[href='"+recordAt(tray)+"']"))

	// A stem by its typed code; hyphens and spaces do no harm.
	stem := h.stem(20)
	p.Tap("nav a[href='/scan']")
	p.UntilAt("/scan")
	p.Type("#code", strings.ReplaceAll(stem.String(), "-", " ")+"\r")
	p.UntilAt(recordAt(stem))
	require.Contains(t, p.Text("main"), "stem 20 of 36")
	p.Tap("button[value='growing']")
	p.UntilText(".saved", "Entry 3 saved")
	require.Equal(t, "1 growing", h.said(stem)[len(h.said(stem))-1])

	// The mist entry was a slip of the finger.
	p.Open(recordAt(tray))
	require.False(t, p.Has("button[value='out-of-mist']"))
	p.Tap("details:has([name=corrects][value='2']) summary")
	p.Tap("details[open] button.warn")
	p.UntilText(".saved", "Entry 4 saved")
	require.Contains(t, h.said(tray), "undoes entry 2")
	require.Contains(t, p.Text(".past"), "undone by entry 4")
	require.True(t, p.Has("button[value='out-of-mist']"), "it is under mist again")
	require.Empty(t, p.Thrown())
}

// TestPhoneContradiction enters more than can be: the earlier entry is shown and
// nothing that was typed is lost.
func browserContradiction(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	s := h.serve("127.0.0.1:0")
	tray := h.tray(1)
	h.log(records.Entry{Key: strings.Repeat("a", 32), At: h.clock.now().AddDate(0, 0, -2), Unit: tray, Counts: records.Counts{Dead: records.Said(4)}})
	p := h.phone(b, s, "", "Ivo")
	p.Open(recordAt(tray))
	p.Type("#alive", "17")
	p.Type("#growing", "11")
	p.Type("#note", "by the door")
	p.Tap("#counts button.main")
	p.UntilText("#waiting", "Not saved")
	shown := p.Text("#waiting")
	require.Contains(t, shown, "entry 1", "the earlier entry is shown")
	require.Contains(t, shown, "4 dead")
	require.True(t, browser.Eval[bool](p, "(r => r.top >= 0 && r.top < innerHeight / 2)(document.querySelector('#waiting').getBoundingClientRect())"), "it is seen at once")
	require.Equal(t, "17", p.Value("#alive"), "what was typed is there")
	require.Equal(t, "11", p.Value("#growing"))
	require.Equal(t, "by the door", p.Value("#note"))
	require.Equal(t, []string{"4 dead"}, h.said(tray))

	// What was typed can be reached from there with one tap.
	p.Tap("#waiting a.button")
	p.Until("(r => r.top >= 0 && r.bottom <= innerHeight)(document.querySelector('#alive').getBoundingClientRect())")

	// It is still there on another day, mended and sent, and then told no more.
	p.Open("/due")
	p.UntilText("#waiting", "Not saved")
	p.Tap("#waiting a.button")
	p.UntilAt(recordAt(tray))
	require.Equal(t, "17", p.Value("#alive"))
	p.Type("#alive", "14")
	p.Tap("#counts button.main")
	p.UntilText(".saved", "Entry 2 saved")
	require.Equal(t, []string{"4 dead", "14 alive, 11 growing; note by the door"}, h.said(tray))
	require.True(t, p.Has("#waiting[hidden]"), "what was mended is not refused any more: %s", p.Text("#waiting"))
	require.Empty(t, p.Value("#alive"))
	require.Empty(t, p.Thrown())
}

// TestPhoneTag prints a lost tag again: the phone gets a PDF, whose code is read,
// and the ledger knows.
func browserTag(t *testing.T, b *browser.Browser) {
	h := newHouse(t)
	renderer := pageRenderer(t)
	s := h.serve("127.0.0.1:0")
	p := h.phone(b, s, "", "")
	folder := t.TempDir()
	p.Downloads(folder)
	for _, code := range []codes.Code{h.tray(2), h.stem(7)} {
		p.Open(recordAt(code))
		p.Tap("[aria-label^='Position on the sheet'][aria-label$='one more']")
		p.Tap("form[action$='/tag'] button:not([type=button])")
		content := p.Downloaded(folder, reprintName(code)+".pdf")
		text, _ := readTag(t, renderer, content)
		require.Equal(t, digits(code), text)
		reprints, err := h.book().Reprints(t.Context(), code)
		require.NoError(t, err)
		require.Len(t, reprints, 1)
		require.WithinDuration(t, h.clock.now(), reprints[0].At, time.Second)
	}
}
