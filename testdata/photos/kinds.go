package photos

// The kinds of photograph of one label.
const (
	Plain            Kind = "plain"
	Turned           Kind = "turned"
	Perspective      Kind = "perspective"
	OutOfFocus       Kind = "out of focus"
	Motion           Kind = "motion"
	Dark             Kind = "dark with noise"
	Compressed       Kind = "strong compression"
	Glare            Kind = "glare"
	Drops            Kind = "drops"
	Bent30           Kind = "bent 30"
	Bent60           Kind = "bent 60"
	Bent90           Kind = "bent 90"
	Dirt             Kind = "dirt"
	Torn             Kind = "torn corner"
	ShadowEdge       Kind = "shadow edge"
	Soil             Kind = "soil in the quiet zone"
	Faded            Kind = "faded"
	Inverted         Kind = "inverted"
	TurnedFocus      Kind = "turned and out of focus"
	BentDrops        Kind = "bent 60 and drops"
	DarkMotion       Kind = "dark and motion"
	PerspectiveShade Kind = "perspective and shadow edge"
	FadedFocus       Kind = "faded and out of focus"
	TurnedCompressed Kind = "turned and strong compression"
	DirtSoilTilt     Kind = "dirt and soil and perspective"
	TornTurned       Kind = "torn and turned"
	Small            Kind = "small"
	GlareBentTurned  Kind = "glare and bent 45 and turned"

	// WholeTray and NoCode are what Tray and Empty make.
	WholeTray Kind = "tray"
	NoCode    Kind = "no code"
)

// Kinds lists the kinds of photograph of one label.
func Kinds() []Kind {
	return []Kind{
		Plain, Turned, Perspective, OutOfFocus, Motion, Dark, Compressed, Glare, Drops, Bent30, Bent60, Bent90,
		Dirt, Torn, ShadowEdge, Soil, Faded, Inverted, TurnedFocus, BentDrops, DarkMotion, PerspectiveShade,
		FadedFocus, TurnedCompressed, DirtSoilTilt, TornTurned, Small, GlareBentTurned,
	}
}

// span is a range within which a strength is uniform. The zero span is none.
type span struct{ from, to float64 }

func (s span) none() bool { return s == span{} }

// damages is what a kind of photograph does to one. Angles are degrees, shares
// are of 1.
type damages struct {
	anyTurn  bool
	tilt     span // true perspective, from close by
	focus    span // standard deviation of the blur, modules
	motion   span // length of the smear, modules
	dark     bool
	quality  span // of the JPEG
	glare    span // share of the symbol's area
	drops    bool
	bend     float64 // angle that the symbol spans
	dirt     span    // share of the symbol's area
	torn     span    // share of the symbol's area
	shadow   span    // light in it, of the light beside it
	soil     span    // share of the length of the quiet zone
	faded    bool
	inverted bool
	small    bool
}

// damages are what a kind does.
func (k Kind) damages() (damages, bool) {
	var (
		glare, dirt, torn        = span{0.05, 0.15}, span{0.03, 0.08}, span{0.03, 0.10}
		shadow, soil, compressed = span{0.3, 0.6}, span{0.3, 0.7}, span{20, 40}
	)
	d, known := map[Kind]damages{
		Plain:            {},
		Turned:           {anyTurn: true},
		Perspective:      {tilt: span{20, 45}},
		OutOfFocus:       {focus: span{0.35, 0.6}},
		Motion:           {motion: span{0.8, 1.6}},
		Dark:             {dark: true},
		Compressed:       {quality: compressed},
		Glare:            {glare: glare},
		Drops:            {drops: true},
		Bent30:           {bend: 30},
		Bent60:           {bend: 60},
		Bent90:           {bend: 90},
		Dirt:             {dirt: dirt},
		Torn:             {torn: torn},
		ShadowEdge:       {shadow: shadow},
		Soil:             {soil: soil},
		Faded:            {faded: true},
		Inverted:         {inverted: true},
		TurnedFocus:      {anyTurn: true, focus: span{0.3, 0.5}},
		BentDrops:        {bend: 60, drops: true},
		DarkMotion:       {dark: true, motion: span{0.6, 1.2}},
		PerspectiveShade: {tilt: span{20, 40}, shadow: shadow},
		FadedFocus:       {faded: true, focus: span{0.3, 0.45}},
		TurnedCompressed: {anyTurn: true, quality: compressed},
		DirtSoilTilt:     {dirt: dirt, soil: soil, tilt: span{10, 30}},
		TornTurned:       {torn: torn, anyTurn: true},
		Small:            {small: true},
		GlareBentTurned:  {glare: glare, bend: 45, anyTurn: true},
	}[k]
	return d, known
}
