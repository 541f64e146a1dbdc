package photos

import (
	"image"
	"math"

	"graftslip/layouts"
)

// millimetre is the length of one, in pixels of a slip.
const millimetre = drawnDPI / layouts.MillimetresPerInch

// expose draws the scene and takes the picture.
func (t *shot) expose() ([]byte, error) {
	t.shades()
	label := laid{sheet: t.marked(), view: t.view}
	if t.harm.drops {
		label.drops = t.drops(t.cut)
	}
	t.cast(&label)
	ground, scale := newGround(t.dice, t.size, t.module/t.cut.module*millimetre)
	ground.covered()
	if radius := t.view.radius; radius > 0 && radius < thickest*millimetre {
		ground.stem(&label, scale)
	}

	lens := t.lens()
	box := label.reach().Inset(-margin - int(lens.reach())).Intersect(image.Rectangle{Max: t.size})
	window := ground.enlarged(scale, box)
	cover := label.lay(t.tones, window)
	if !t.harm.shadow.none() {
		edge := t.newEdge()
		edge.shade(window, 1)
		edge.shade(ground.planes, scale)
	}
	if !t.harm.glare.none() {
		t.newGleams().shine(window, cover)
	}
	lens.blur(window, 1)
	lens.blur(ground.planes, scale)
	return t.exposure().develop(t.tones, t.size, ground.planes, scale, []*planes{window})
}

// shades chooses the shades of paper and ink.
func (t *shot) shades() {
	t.prints = prints{paper: t.between(190, 240), ink: t.between(15, 50)}
	if t.harm.faded {
		t.prints = prints{paper: t.between(185, 225), ink: t.between(120, 165)}
	}
	if t.harm.inverted {
		t.prints = prints{paper: t.prints.ink, ink: t.prints.paper}
	}
}

// marked is the sheet with what happened to it before it was photographed.
func (t *shot) marked() *sheet {
	s := newSheet(t.tones, t.cut.picture, t.prints)
	if !t.harm.dirt.none() || !t.harm.soil.none() {
		m := newMarks(t.dice, s, t.cut)
		if !t.harm.dirt.none() {
			m.dirt(t.within(t.harm.dirt))
		}
		if !t.harm.soil.none() {
			m.soil(t.within(t.harm.soil))
		}
	}
	if !t.harm.torn.none() {
		newTear(t.dice, t.cut, t.within(t.harm.torn)).rip(s)
	}
	return s
}

// cast sets the shadow that a label casts on the ground.
func (t *shot) cast(l *laid) {
	l.shadow = point{t.between(0.5, 4) * t.module, 0}.turned(t.angle())
	l.soft = t.between(0.4, 1.5) * t.module
	l.lamp = math.Sin(t.between(-25, 25) * degree)
}

// lens is what blurs a picture, in pixels of it.
type lens struct {
	soft float64 // standard deviation that every lens has
	bell float64 // standard deviation out of focus, of a bell or
	disc float64 // of a disc
	way  point   // of the camera while it took the picture
}

func (t *shot) lens() lens {
	l := lens{soft: t.between(0.5, 0.8)}
	if !t.harm.focus.none() {
		if deviation := t.within(t.harm.focus) * t.module; t.chance(0.5) {
			l.bell = deviation
		} else {
			l.disc = deviation
		}
	}
	if !t.harm.motion.none() {
		l.way = point{t.within(t.harm.motion) * t.module, 0}.turned(t.angle())
	}
	return l
}

// reach is how far blur goes.
func (l lens) reach() float64 { return 3*(l.soft+l.bell+l.disc) + l.way.length() }

// blur blurs a part of a picture that is drawn at a scale. What is drawn at
// less than its full size is soft already, and the shape of blur does not show
// in it.
func (l lens) blur(p *planes, scale float64) {
	width, height := p.box.Dx(), p.box.Dy()
	for _, plane := range p.pix {
		switch deviation := l.bell + l.disc; {
		case scale < 1:
			blurBoxes(plane, width, height, deviation*scale)
		case l.disc > 0:
			blurDisc(plane, width, height, 2*l.disc)
			blurBell(plane, width, height, l.soft)
		default:
			blurBell(plane, width, height, math.Hypot(l.soft, deviation))
		}
		if l.way != (point{}) {
			smear(plane, width, height, l.way.times(scale))
		}
	}
}

// exposure is how the camera is set.
func (t *shot) exposure() exposure {
	e := t.daylight()
	if t.harm.dark {
		e.light = e.light.times(float32(lightOf(t.between(45, 90)) / lightOf(t.prints.paper)))
		e.noise = t.between(5, 10)
	}
	if !t.harm.quality.none() {
		e.quality = int(math.Round(t.within(t.harm.quality)))
	}
	return e
}
