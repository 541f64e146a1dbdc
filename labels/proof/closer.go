package proof

import (
	"context"
	"image"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

const (
	// clearModule is how many pixels of the drawing a module has at least where
	// spread ink does not keep it from being read.
	clearModule = 4
	// nearer is how much nearer a label is looked at than its page.
	nearer = 3
)

// closer reads a label once more, as a camera does that is held nearer: with
// more pixels to a dot, over which the ink has spread as before. The finds are
// in pixels of the page.
func (p *proof) closer(ctx context.Context, picture *image.Gray, place int, deviation float64) ([]scan.Found, error) {
	if symbol.SmallestModule/p.grid.pixel >= clearModule {
		return nil, nil
	}
	from := p.grid.pixels(place).Intersect(picture.Rect)
	near := image.NewGray(image.Rect(0, 0, nearer*from.Dx(), nearer*from.Dy()))
	for y := range near.Rect.Dy() {
		line := near.Pix[y*near.Stride:][:near.Rect.Dx()]
		seen := picture.Pix[picture.PixOffset(from.Min.X, from.Min.Y+y/nearer):]
		for x := range line {
			line[x] = seen[x/nearer]
		}
	}
	founds, err := scan.Picture(ctx, blurred(near, nearer*deviation), nil)
	for i := range founds {
		f := &founds[i]
		f.Module /= nearer
		f.Place = image.Rectangle{f.Place.Min.Div(nearer), f.Place.Max.Add(image.Pt(nearer-1, nearer-1)).Div(nearer)}.Add(from.Min)
	}
	return founds, err
}
