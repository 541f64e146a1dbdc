package photos

import "math"

// space is a place or a direction in space, z away from the camera.
type space [3]float64

func (s space) dot(t space) float64 { return s[0]*t[0] + s[1]*t[1] + s[2]*t[2] }

// view is how a flat or bent sheet stands before a pinhole camera. Lengths on
// the sheet are pixels of a slip.
type view struct {
	middle   point    // of what is photographed, on the sheet
	place    point    // of the camera's axis, on the picture: where the middle is seen unless it lies aside
	scale    float64  // pixels of the picture to one of the slip, in the middle
	distance float64  // from the camera to the middle, straight ahead
	aside    point    // of the middle from the camera's axis, which goes through the place
	turn     [3]space // rows: from the sheet's directions to the camera's
	radius   float64  // of the cylinder on whose outside the sheet lies; 0 when flat
	axisDown bool     // the cylinder's axis runs down the sheet, not across
}

// turned is the rotation by turn in the sheet's own plane and then by tilt
// about an axis in the plane of the picture.
func turned(turn, tilt, axis float64) [3]space {
	s, c := math.Sincos(turn)
	own := [3]space{{c, -s, 0}, {s, c, 0}, {0, 0, 1}}
	sin, cos := math.Sincos(tilt)
	ay, ax := math.Sincos(axis)
	lean := [3]space{
		{cos + ax*ax*(1-cos), ax * ay * (1 - cos), ay * sin},
		{ax * ay * (1 - cos), cos + ay*ay*(1-cos), -ax * sin},
		{-ay * sin, ax * sin, cos},
	}
	var both [3]space
	for r := range both {
		for c := range both[r] {
			both[r][c] = lean[r].dot(space{own[0][c], own[1][c], own[2][c]})
		}
	}
	return both
}

// part is how another sheet is seen that lies on a flat one: its middle on a
// point of that, turned in its plane.
func (v *view) part(middle, on point, turn float64) view {
	way := on.minus(v.middle)
	p := *v
	p.middle = middle
	p.aside = point{v.turn[0][0]*way.x + v.turn[0][1]*way.y + v.aside.x, v.turn[1][0]*way.x + v.turn[1][1]*way.y + v.aside.y}
	p.distance = v.distance + v.turn[2][0]*way.x + v.turn[2][1]*way.y
	p.scale = v.scale * v.distance / p.distance
	sin, cos := math.Sincos(turn)
	for i, row := range v.turn {
		p.turn[i] = space{row[0]*cos + row[1]*sin, row[1]*cos - row[0]*sin, row[2]}
	}
	return p
}

// picture returns where a point of the sheet is seen, and whether its front is
// turned to the camera.
func (v *view) picture(p point) (at point, front bool) {
	p = p.minus(v.middle)
	flat := space{p.x, p.y, 0}
	normal := space{0, 0, -1}
	if v.radius > 0 {
		along, i := p.x, 0
		if !v.axisDown {
			along, i = p.y, 1
		}
		sin, cos := math.Sincos(along / v.radius)
		flat[i], flat[2] = v.radius*sin, v.radius*(1-cos)
		normal = space{0, 0, -cos}
		normal[i] = sin
		if math.Abs(along/v.radius) > math.Pi {
			return point{}, false
		}
	}
	x, y, z := v.turn[0].dot(flat)+v.aside.x, v.turn[1].dot(flat)+v.aside.y, v.turn[2].dot(flat)+v.distance
	facing := v.turn[0].dot(normal)*x + v.turn[1].dot(normal)*y + v.turn[2].dot(normal)*z
	f := v.scale * v.distance / z
	return point{v.place.x + x*f, v.place.y + y*f}, facing < 0 && z > 0
}

// seen is what a ray from the camera meets.
type seen struct {
	at     point   // on the sheet, or where the sheet would go on
	normal float64 // sine of the angle from the front along the bend, -1 to 1; 0 when flat
}

// sheet returns what is seen at a place of the picture; false when the ray
// passes by.
func (v *view) sheet(at point) (seen, bool) {
	f := 1 / (v.scale * v.distance)
	ray := space{(at.x - v.place.x) * f, (at.y - v.place.y) * f, 1}
	var d, o space // ray and camera in the sheet's directions
	for i := range d {
		d[i] = v.turn[0][i]*ray[0] + v.turn[1][i]*ray[1] + v.turn[2][i]*ray[2]
		o[i] = -v.turn[0][i]*v.aside.x - v.turn[1][i]*v.aside.y - v.turn[2][i]*v.distance
	}
	if v.radius == 0 {
		t := -o[2] / d[2]
		return seen{at: point{v.middle.x + o[0] + t*d[0], v.middle.y + o[1] + t*d[1]}}, t > 0
	}
	across, along := 0, 1
	if !v.axisDown {
		across, along = 1, 0
	}
	// The axis lies one radius behind the middle.
	oz := o[2] - v.radius
	a := d[across]*d[across] + d[2]*d[2]
	b := o[across]*d[across] + oz*d[2]
	c := o[across]*o[across] + oz*oz - v.radius*v.radius
	root := b*b - a*c
	if root < 0 {
		return seen{}, false
	}
	t := (-b - math.Sqrt(root)) / a
	x, z := o[across]+t*d[across], oz+t*d[2]
	arc := math.Atan2(x, -z) * v.radius
	axial := o[along] + t*d[along]
	s := seen{normal: x / v.radius}
	if v.axisDown {
		s.at = point{v.middle.x + arc, v.middle.y + axial}
	} else {
		s.at = point{v.middle.x + axial, v.middle.y + arc}
	}
	return s, t > 0
}
