package proof

import (
	"context"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// TestBlurred compares with a sum over all pixels, by the formula.
func TestBlurred(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	picture := image.NewGray(image.Rect(0, 0, 31, 17))
	for i := range picture.Pix {
		picture.Pix[i] = 255
		if y := i / picture.Stride; y < 6 && random.IntN(3) == 0 {
			picture.Pix[i] = uint8(random.IntN(256))
		}
	}
	require.Same(t, picture, blurred(picture, 0))
	for _, deviation := range []float64{0.3, 1, 2.2} {
		result := blurred(picture, deviation)
		reach := int(math.Ceil(3 * deviation))
		sum := 0.0
		for distance := -reach; distance <= reach; distance++ {
			sum += math.Exp(-float64(distance*distance) / (2 * deviation * deviation))
		}
		for y := range 17 {
			for x := range 31 {
				ink := 0.0
				for dy := -reach; dy <= reach; dy++ {
					for dx := -reach; dx <= reach; dx++ {
						if at := image.Pt(x+dx, y+dy); at.In(picture.Rect) {
							ink += float64(255-picture.GrayAt(at.X, at.Y).Y) * math.Exp(-float64(dx*dx+dy*dy)/(2*deviation*deviation)) / (sum * sum)
						}
					}
				}
				require.InDelta(t, 255-ink, result.GrayAt(x, y).Y, 1.1)
			}
		}
	}
}

// TestGrid: every label of every stock is found at its place, and what lies
// beside it is not, whatever the correction.
func TestGrid(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for _, stock := range layouts.Catalogue() {
		g := grid{labels.Setup{Stock: stock, DPI: 300, Correction: layouts.Correction{ShiftX: -0.7, ShiftY: 1.2, ScaleX: 1.003, ScaleY: 0.996}}, 25.4 / 300}
		for place := range stock.Count() {
			on := stock.Position(place).Rect
			x, y := on.X+random.Float64()*on.Width, on.Y+random.Float64()*on.Height
			require.Equal(t, place, g.place(x, y), stock.Name)
			printedX, printedY := g.Correction.Point(x, y)
			paperX, paperY := g.paper(printedX/g.pixel, printedY/g.pixel)
			require.InDelta(t, x, paperX, 1e-9)
			require.InDelta(t, y, paperY, 1e-9)
			require.Equal(t, place, g.placeOf(g.pixels(place)))
		}
		require.Equal(t, outside, g.place(stock.Left-0.1, stock.Top+1), stock.Name)
		require.Equal(t, outside, g.place(stock.Left+1, stock.Top-0.1), stock.Name)
		require.Equal(t, outside, g.place(stock.Paper.Width-stock.Left+0.1, stock.Top+1), stock.Name)
	}
}

// TestInk sets single dots and measures their distances by hand.
func TestInk(t *testing.T) {
	stock, err := layouts.Lookup("letter-2x10") // labels of 101.6 × 25.4 mm from (4.7625, 12.7) on, 3.175 mm apart
	require.NoError(t, err)
	g := grid{labels.Setup{Stock: stock, DPI: 254}, 0.1}
	picture := image.NewGray(image.Rect(0, 0, 2159, 2794))
	for i := range picture.Pix {
		picture.Pix[i] = 255
	}
	black := func(x, y int) { picture.Pix[picture.PixOffset(x, y)] = 0 }
	black(70, 200)                                  // label 0: 7 mm from the left of the paper
	black(1000, 370)                                // label 0: ends 1 mm above the lower edge at 38.1 mm
	black(1070, 300)                                // between the columns
	black(1500, 381+0)                              // label 3: on its upper edge
	picture.Pix[picture.PixOffset(1500, 400)] = 200 // too light for a dot
	boxes, stray := g.ink(picture)
	require.Equal(t, image.Rect(70, 200, 1001, 371), boxes[0])
	require.Equal(t, image.Rect(1500, 381, 1501, 382), boxes[3])
	require.Equal(t, image.Rect(1070, 300, 1071, 301), stray)
	for place, box := range boxes {
		require.Equal(t, place != 0 && place != 3, box.Empty())
	}
	by, edge := g.Stock.Position(0).Overhang(g.area(boxes[0]))
	require.InDelta(t, -1.0, by, 1e-9)
	require.Equal(t, "lower", edge)
	by, edge = g.Stock.Position(3).Overhang(g.area(boxes[3]))
	require.InDelta(t, 0, by, 1e-9)
	require.Equal(t, "upper", edge)
}

// TestMagnified looks at a label whose symbol has modules of two pixels.
func TestMagnified(t *testing.T) {
	stock, err := layouts.Lookup("letter-2x10")
	require.NoError(t, err)
	p := newProof(Check{}, labels.Setup{Stock: stock, DPI: 203}, 203.2)
	picture := image.NewGray(image.Rect(0, 0, 1727, 2235))
	for i := range picture.Pix {
		picture.Pix[i] = 255
	}
	modules, err := symbol.Encode(symbol.QR, "26329002000556")
	require.NoError(t, err)
	const place, module = 3, 2
	corner := p.grid.pixels(place).Min.Add(image.Pt(40, 60))
	for y := range module * modules.Height() {
		for x := range module * modules.Width() {
			if modules.Dark(x/module, y/module) {
				picture.Pix[picture.PixOffset(corner.X+x, corner.Y+y)] = 0
			}
		}
	}
	founds, err := p.magnified(context.Background(), picture, place, 1)
	require.NoError(t, err)
	require.Len(t, founds, 1)
	require.Equal(t, "26329002000556", founds[0].Text)
	require.InEpsilon(t, module, founds[0].Module, 0.03)
	side := module * modules.Width()
	want := image.Rect(0, 0, side, side).Add(corner)
	require.True(t, founds[0].Place.In(want.Inset(-1)) && want.Inset(1).In(founds[0].Place), "%v, not %v", founds[0].Place, want)

	fine := newProof(Check{}, labels.Setup{Stock: stock, DPI: 600}, 600)
	founds, err = fine.magnified(context.Background(), picture, place, 1)
	require.NoError(t, err)
	require.Empty(t, founds, "pixels are small enough as they are")
}

func TestPrintedCodes(t *testing.T) {
	for _, test := range []struct {
		reason string
		texts  []string
		want   []string
	}{
		{"in one text", []string{"‘Amber Weathercock’", "26329-004-0017-63"}, []string{"26329-004-0017-63"}},
		{"broken into two", []string{"2026-11-25", "26329-004", "0017-63", "17 of 60"}, []string{"26329-004-0017-63"}},
		{"two codes, of which one stands in a note", []string{"26329-004-0017-63", "Note: replaces 26329-001-0001-95, torn"}, []string{"26329-004-0017-63", "26329-001-0001-95"}},
		{"two codes one after the other", []string{"26329-004-0017-63", "26329-001-0001-95"}, []string{"26329-004-0017-63", "26329-001-0001-95"}},
		{"its halves apart", []string{"26329-004", "17 of 60", "0017-63"}, nil},
		{"wrong check digits", []string{"26329-004-0017-64"}, nil},
		{"digits around it", []string{"126329-004-0017-63", "26329-004-0017-631"}, nil},
		{"nothing", nil, nil},
	} {
		var got []string
		for _, code := range printedCodes(test.texts) {
			got = append(got, code.String())
		}
		require.Equal(t, test.want, got, test.reason)
	}
}

func TestStands(t *testing.T) {
	for _, test := range []struct {
		reason string
		name   string
		texts  []string
		want   bool
	}{
		{"one text", "‘Amber Weathercock’", []string{"‘Amber Weathercock’", "/ ‘Marlpit Hedge’"}, true},
		{"broken into two", "‘Amber Weathercock’", []string{"‘Amber", "Weathercock’", "x"}, true},
		{"behind the bar", "‘Marlpit Hedge’", []string{"‘Amber Weathercock’", "/ ‘Marlpit Hedge’"}, true},
		{"behind the bar and broken", "‘Marlpit Hedge’", []string{"/ ‘Marlpit", "Hedge’"}, true},
		{"with more behind it", "Rosa multiflora", []string{"Rosa multiflora inermis"}, false},
		{"with more before it", "‘Hedge’", []string{"Marlpit ‘Hedge’"}, false},
		{"only a part", "Rosa multiflora", []string{"Rosa"}, false},
		{"in the wrong order", "Rosa multiflora", []string{"multiflora", "Rosa"}, false},
		{"a ligature that was taken apart", "‘Afﬁdavit’", []string{"‘Affidavit’"}, true},
		{"nothing in print", "‘Hedge’", nil, false},
	} {
		require.Equal(t, test.want, stands(test.name, test.texts), test.reason)
	}
}

// TestSmallModules: modules below a quarter of a millimetre are a fault, unless
// they are so near to whole dots that they may be these.
func TestSmallModules(t *testing.T) {
	for _, row := range []struct {
		reason string
		dpi    float64
		pixels float64 // a module
		says   string
	}{
		{"two dots of a coarse printer", 203.2, 2, ""},
		{"nearly two of them", 203.2, 1.8, ""},
		{"one and a half of them", 203.2, 1.5, "the modules of the symbol measure 0.18 mm; the minimum is 0.25 mm"},
		{"three dots of a finer one", 300, 3, ""},
		{"two of them", 300, 2, "the modules of the symbol measure 0.16 mm; the minimum is 0.25 mm"},
		{"not measured", 300, 0, ""},
	} {
		t.Run(row.reason, func(t *testing.T) {
			p := newProof(Check{}, labels.Setup{DPI: row.dpi}, row.dpi)
			fault := p.small(scan.Found{Sight: scan.Sight{Module: row.pixels}})
			if row.says == "" {
				require.Nil(t, fault)
				return
			}
			require.Equal(t, row.says, fault.Text)
		})
	}
}
