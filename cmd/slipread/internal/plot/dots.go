package plot

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// resolution of pictures, in dots an inch and in dots a millimetre.
const (
	resolution = 200
	perMM      = resolution / 25.4
)

// dotPaper is a picture.
type dotPaper struct {
	letters *letters
	canvas  *vgimg.Canvas
	high    vg.Length // of whole dots: the canvas counts from below
}

func newDotPaper(l *letters, width, height float64) *dotPaper {
	const dot = vg.Inch / resolution
	wide, high := vg.Length(math.Ceil(width*perMM))*dot, vg.Length(math.Ceil(height*perMM))*dot
	return &dotPaper{l, vgimg.NewWith(vgimg.UseWH(wide, high), vgimg.UseDPI(resolution), vgimg.UseBackgroundColor(color.White)), high}
}

func onCanvas(mm float64) vg.Length { return vg.Length(mm) * vg.Millimeter }

func (p *dotPaper) place(at point) vg.Point {
	return vg.Point{X: onCanvas(at.x), Y: p.high - onCanvas(at.y)}
}

// path leads from corner to corner.
func (p *dotPaper) path(corners ...point) vg.Path {
	var path vg.Path
	path.Move(p.place(corners[0]))
	for _, c := range corners[1:] {
		path.Line(p.place(c))
	}
	return path
}

func (p *dotPaper) fill(path vg.Path, ink color.Color) {
	path.Close()
	p.canvas.SetColor(ink)
	p.canvas.Fill(path)
}

func (p *dotPaper) line(from, to point, width float64, ink ink) {
	p.canvas.SetColor(color.Gray{uint8(ink)})
	p.canvas.SetLineWidth(onCanvas(width))
	p.canvas.Stroke(p.path(from, to))
}

func (p *dotPaper) dot(at point, radius float64) {
	var round vg.Path
	round.Move(p.place(point{at.x + radius, at.y}))
	round.Arc(p.place(at), onCanvas(radius), 0, 2*math.Pi)
	p.fill(round, color.Black)
}

// lozenge fills twice, since the library rounds the corners of lines.
func (p *dotPaper) lozenge(at point, reach float64) {
	p.fill(p.path(lozengeCorners(at, reach+lozengeLine/math.Sqrt2)...), color.Black)
	p.fill(p.path(lozengeCorners(at, reach-lozengeLine/math.Sqrt2)...), color.White)
}

func (p *dotPaper) text(at point, t text) {
	p.canvas.SetColor(color.Black)
	for i, line := range t.lines {
		place := point{at.x - t.before(p.letters, line), at.y + float64(i)*t.size*leading}
		p.canvas.FillString(p.letters.face(t.size, t.weight), p.place(place), line)
	}
}

// write writes the picture with its resolution, so that it prints in its size.
func (p *dotPaper) write(out io.Writer) error {
	picture := p.canvas.Image()
	grey := image.NewGray(picture.Bounds())
	draw.Draw(grey, grey.Rect, picture, image.Point{}, draw.Src)
	var encoded bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&encoded, grey); err != nil {
		return err
	}
	const head = 8 + 25 // the signature, and IHDR which is first (PNG, second edition, 5.6)
	content := encoded.Bytes()
	for _, part := range [][]byte{content[:head], physical(), content[head:]} {
		if _, err := out.Write(part); err != nil {
			return err
		}
	}
	return nil
}

// physical is the chunk pHYs: pixels a metre in both directions, and that it is
// metres (PNG, second edition, 11.3.5.3).
func physical() []byte {
	const pixels, metres = resolution * 10000 / 254, 1
	chunk := binary.BigEndian.AppendUint32(nil, 9)
	chunk = append(chunk, "pHYs"...)
	chunk = binary.BigEndian.AppendUint32(chunk, pixels)
	chunk = binary.BigEndian.AppendUint32(chunk, pixels)
	chunk = append(chunk, metres)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}
