package mark

import (
	"image"
	"slices"
)

// placeTags places the tag of each sign beside its outline; taken holds the boxes of the
// outlines. Without room free of symbols, tags and print a tag gets shorter, then
// smaller, and then goes where it hides least.
func placeTags(page *image.RGBA, signs []Sign, taken []image.Rectangle) ([]tag, error) {
	const smaller = 0.75
	size := letterSize(page.Bounds(), taken)
	large, err := newTypesetter(size)
	if err != nil {
		return nil, err
	}
	small, err := newTypesetter(size * smaller)
	if err != nil {
		return nil, err
	}
	tags := make([]tag, len(signs))
	full := slices.Clone(taken)
	for i, sign := range signs {
		first := sign.Lines[:min(1, len(sign.Lines))]
		best := bestPlace(page, large.tag(sign.Lines), taken[i], full)
		for _, shape := range []tag{large.tag(first), small.tag(first)} {
			if other := bestPlace(page, shape, taken[i], full); other.muchBetter(best) {
				best = other
			}
		}
		tags[i] = best.tag
		full = append(full, best.box)
	}
	return tags, nil
}

// placed is a tag in a place, with what it hides.
type placed struct {
	tag
	hidden int     // pixels of symbols and other tags under it, and those beyond the picture
	ink    float64 // under it and close by
}

// muchBetter reports whether a shorter tag hides enough less than a longer one.
func (p placed) muchBetter(longer placed) bool {
	if p.hidden > 0 || longer.hidden > 0 {
		return p.hidden < longer.hidden
	}
	return p.ink < longer.ink/2
}

// bestPlace returns the place beside its outline where a tag hides least.
func bestPlace(page *image.RGBA, t tag, outline image.Rectangle, full []image.Rectangle) placed {
	var best placed
	for i, at := range places(page.Bounds(), t.box.Size(), outline) {
		p := placed{tag: t.moved(at)}
		p.hidden = area(p.box) - area(p.box.Intersect(page.Bounds()))
		for _, other := range full {
			p.hidden += area(p.box.Intersect(other))
		}
		p.ink = ink(page, p.box.Inset(-t.box.Dy()/8), outline)
		if i == 0 || p.hidden < best.hidden || p.hidden == best.hidden && p.ink < best.ink {
			best = p
		}
	}
	return best
}

func area(r image.Rectangle) int { return r.Dx() * r.Dy() }

// places lists places for a tag beside an outline, the more usual first: below, above,
// right and left, each at both ends and in the middle of the side. Tags are moved along
// the side into the picture.
func places(picture image.Rectangle, size image.Point, outline image.Rectangle) []image.Point {
	within := func(at, low, high, length int) int { return max(low, min(at, high-length)) }
	var all []image.Point
	for _, y := range []int{outline.Max.Y, outline.Min.Y - size.Y} {
		for _, x := range []int{outline.Min.X, (outline.Min.X + outline.Max.X - size.X) / 2, outline.Max.X - size.X} {
			all = append(all, image.Pt(within(x, picture.Min.X, picture.Max.X, size.X), y))
		}
	}
	for _, x := range []int{outline.Max.X, outline.Min.X - size.X} {
		for _, y := range []int{outline.Min.Y, (outline.Min.Y + outline.Max.Y - size.Y) / 2, outline.Max.Y - size.Y} {
			all = append(all, image.Pt(x, within(y, picture.Min.Y, picture.Max.Y, size.Y)))
		}
	}
	return all
}

// ink estimates the print in a part of a page, without the marked symbol: the share of
// grid points whose brightness differs much from their neighbour's.
func ink(page *image.RGBA, part, marked image.Rectangle) float64 {
	const step, much = 3, 40 // pixels; levels of 255
	part = part.Intersect(page.Bounds())
	edges, all := 0, 1
	for y := part.Min.Y; y < part.Max.Y; y += step {
		before := -1
		for x := part.Min.X; x < part.Max.X; x += step {
			if (image.Point{X: x, Y: y}).In(marked) {
				before = -1
				continue
			}
			light := int(page.Pix[page.PixOffset(x, y)+1]) // green dominates brightness
			if before >= 0 && max(light-before, before-light) > much {
				edges++
			}
			before = light
			all++
		}
	}
	return float64(edges) / float64(all)
}
