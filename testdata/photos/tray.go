package photos

import (
	"fmt"
	"image"
	"math"
)

// leastTrayModule is the smallest module on a photograph of a tray, in pixels.
const leastTrayModule = 3

// askew is how far a label is turned in its cell, either way, in degrees.
const askew = 8.0

// trayshot is a photograph of a tray while it is made.
type trayshot struct {
	dice
	tones         *tones
	size          image.Point
	cuts          []slip
	turns         []float64 // of each label in its cell
	cell          point     // pixels of a slip
	columns, rows int
	view          view
}

// RoomError says that a photograph of so many pixels cannot show so many
// labels with modules large enough.
type RoomError struct {
	Symbol     string
	Codes      int
	Megapixels float64
}

func (e *RoomError) Error() string {
	return fmt.Sprintf("%d labels with %s do not fit on a photograph of %v megapixels with modules of %d pixels: use a larger one",
		e.Codes, e.Symbol, e.Megapixels, leastTrayModule)
}

// Tray photographs a whole tray with as many labels, all with the same kind of
// symbol, whose modules are at least 3 pixels. Labels are cut to what is
// printed around the symbol, and to the symbol alone where they would not fit
// otherwise. Equal arguments give equal bytes. The error is a *RoomError where
// labels do not fit at all.
func (s *Slips) Tray(symbol string, codes int, megapixels float64, seed uint64) (Photo, error) {
	slips, known := s.bySymbol[symbol]
	if !known {
		return Photo{}, fmt.Errorf("no slip carries a symbol %q: use qr, datamatrix or code128", symbol)
	}
	if err := checkSize(megapixels); err != nil {
		return Photo{}, err
	}
	var labels []slip
	for _, cut := range slips {
		if !cut.card {
			labels = append(labels, cut)
		}
	}
	if codes < 1 || codes > len(labels) {
		return Photo{}, fmt.Errorf("a tray has 1 to %d labels with %s, not %d", len(labels), symbol, codes)
	}
	d := newDice(WholeTray, fmt.Sprint(symbol, codes), megapixels, seed)
	t := &trayshot{dice: d, tones: &s.tones, size: d.size(megapixels)}
	if !t.fit(labels, codes) {
		return Photo{}, &RoomError{symbol, codes, megapixels}
	}
	photo := Photo{Kind: WholeTray, Symbol: symbol, Seed: seed, Size: t.size}
	var err error
	photo.JPEG, err = t.expose(&photo)
	return photo, err
}

// fit chooses labels and lays them in a grid, and reports whether they fit: as
// chance wants it, or with the tray not turned, or the camera held the other
// way, or after all that with labels cut tight.
func (t *trayshot) fit(labels []slip, codes int) bool {
	turn, tilt, axis := 0.0, t.between(0, 12)*degree, t.angle()
	if t.chance(0.5) {
		turn = t.between(-15, 15) * degree
	}
	labels = t.run(labels, codes)
	t.turns = make([]float64, codes)
	for i := range t.turns {
		t.turns[i] = t.between(-askew, askew) * degree
	}
	lyingFirst := t.chance(0.5)
	for _, tight := range []bool{false, true} {
		t.cuts = t.cuts[:0]
		for _, label := range labels {
			t.cuts = append(t.cuts, label.cropped(tight))
		}
		for _, straight := range []bool{false, true} {
			for _, lying := range []bool{lyingFirst, !lyingFirst} {
				if lying != (t.size.X > t.size.Y) {
					t.size = image.Pt(t.size.Y, t.size.X)
				}
				now := turn
				if straight {
					now = 0
				}
				if t.lay(turned(now, tilt, axis)) {
					return true
				}
			}
		}
	}
	return false
}

// run takes as many labels from one run of the press that has enough of them.
func (t *trayshot) run(labels []slip, codes int) []slip {
	runs := map[int][]slip{}
	for _, label := range labels {
		runs[label.run] = append(runs[label.run], label)
	}
	chosen := labels
	for _, i := range t.Perm(len(labels)) {
		if run := runs[labels[i].run]; len(run) >= codes {
			chosen = run
			break
		}
	}
	taken := make([]slip, codes)
	for i, n := range t.Perm(len(chosen))[:codes] {
		taken[i] = chosen[n]
	}
	return taken
}

// lay finds the grid with the largest modules, and reports whether they are
// large enough.
func (t *trayshot) lay(turn [3]space) bool {
	t.cell = point{}
	for i := range t.cuts {
		width, height := t.upright(i)
		sin, cos := math.Sincos(math.Abs(t.turns[i]))
		t.cell.x = max(t.cell.x, width*cos+height*sin)
		t.cell.y = max(t.cell.y, width*sin+height*cos)
	}
	const between = 1.5 * millimetre
	t.cell = t.cell.plus(point{between, between})
	best, columns := 0.0, 0
	fill := t.between(0.88, 1)
	for t.columns = 1; t.columns <= len(t.cuts); t.columns++ {
		if t.place(turn, fill); t.view.scale > best {
			best, columns = t.view.scale, t.columns
		}
	}
	t.columns = columns
	t.place(turn, fill)
	for i := range t.cuts {
		v := t.viewOf(i)
		if codeOf(t.cuts[i], &v).Module < leastTrayModule {
			return false
		}
	}
	return true
}

// upright is the size of a label as it lies in its cell.
func (t *trayshot) upright(i int) (width, height float64) {
	width, height = float64(t.cuts[i].picture.Rect.Dx()), float64(t.cuts[i].picture.Rect.Dy())
	if t.cuts[i].turn.Sideways() {
		return height, width
	}
	return width, height
}

// place puts the camera so that the tray with its columns fills a share of the
// picture.
func (t *trayshot) place(turn [3]space, fill float64) {
	t.rows = (len(t.cuts) + t.columns - 1) / t.columns
	whole := point{t.cell.x * float64(t.columns), t.cell.y * float64(t.rows)}
	v := view{turn: turn, scale: 1, distance: 1.5 * max(whole.x, whole.y)}
	low, high := point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for _, corner := range [4]point{{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}} {
		p, _ := v.picture(point{whole.x * corner.x, whole.y * corner.y})
		low, high = point{min(low.x, p.x), min(low.y, p.y)}, point{max(high.x, p.x), max(high.y, p.y)}
	}
	const free = 12 // pixels
	v.scale = fill * min((float64(t.size.X)-2*free)/(high.x-low.x), (float64(t.size.Y)-2*free)/(high.y-low.y))
	middle := low.plus(high).times(v.scale / 2)
	v.place = point{float64(t.size.X) / 2, float64(t.size.Y) / 2}.minus(middle)
	t.view = v
}

// viewOf is how label i is seen in its cell.
func (t *trayshot) viewOf(i int) view {
	cut := t.cuts[i]
	cell := point{
		(float64(i%t.columns) + 0.5 - float64(t.columns)/2) * t.cell.x, (float64(i/t.columns) + 0.5 - float64(t.rows)/2) * t.cell.y,
	}
	middle := point{float64(cut.picture.Rect.Dx()) / 2, float64(cut.picture.Rect.Dy()) / 2}
	return t.view.part(middle, cell, t.turns[i]-float64(cut.turn)*math.Pi/2)
}

// expose draws the tray, takes the picture and notes the codes on it.
func (t *trayshot) expose(photo *Photo) ([]byte, error) {
	grain := t.view.scale * millimetre
	ground, scale := newGround(t.dice, t.size, grain)
	plastic := t.plastic(ground)
	ground.each(func(x, y float64) colour {
		s, _ := t.view.sheet(point{x * grain, y * grain})
		return plastic.at(s.at.x/millimetre, s.at.y/millimetre)
	})
	ground.leaves(t.between(0, 0.6))

	window := ground.enlarged(scale, image.Rectangle{Max: t.size})
	fall, soft := point{t.between(0.5, 3), 0}.turned(t.angle()).times(t.view.scale*10), t.between(4, 12)*t.view.scale
	for i, cut := range t.cuts {
		label := laid{
			sheet: newSheet(t.tones, cut.picture, prints{paper: t.between(190, 240), ink: t.between(15, 50)}), view: t.viewOf(i), shadow: fall, soft: soft,
		}
		newMarks(t.dice, label.sheet, cut).specks(t.IntN(12))
		label.lay(t.tones, window)
		photo.Codes = append(photo.Codes, codeOf(cut, &label.view))
	}
	lens{soft: t.between(0.5, 0.8)}.blur(window, 1)
	return t.daylight().develop(t.tones, t.size, window, 1, nil)
}

// plastic is the tray itself: some cells to a label, as square as they can be.
func (t *trayshot) plastic(g *ground) *plastic {
	p := g.newTray()
	p.middle, p.along = point{}, point{1, 0}
	cell := t.cell.times(1 / millimetre)
	p.pitch = point{cell.x / max(1, math.Round(cell.x/45)), cell.y / max(1, math.Round(cell.y/45))}
	p.half = point{cell.x * float64(t.columns) / 2, cell.y * float64(t.rows) / 2}
	p.wall = min(p.wall, min(p.pitch.x, p.pitch.y)/6)
	return p
}
