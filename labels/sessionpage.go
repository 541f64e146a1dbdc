package labels

import (
	"fmt"

	"graftslip/layouts"
)

// placedItem is an item with its page, counted from 0, and where it begins there.
type placedItem struct {
	item
	page int
	y    float64
}

// flowed is everything in its place.
type flowed struct {
	items []placedItem
	last  int     // page
	end   float64 // of what stands there
}

// pages puts everything on pages.
func (s *sessionSheet) pages() []Design {
	items, header := append(s.tableItems(), s.footItem()), s.header(0)
	if len(s.errs) > 0 {
		return nil
	}
	all := s.flow(header, items)
	slips := make([]Design, all.last+1)
	whole := layouts.Placed{Rect: layouts.Rect{Width: s.stock.Paper.Width, Height: s.stock.Paper.Height}}
	on := func(page int) canvas { return canvas{&slips[page], s.Face, whole} }
	for n := range slips {
		s.number(on(n), n+1, len(slips))
	}
	for _, p := range all.items {
		p.draw(on(p.page), p.y)
	}
	s.notes(on(all.last), all.end+rowGap)
	return slips
}

// flow sets items one below the other. A row that begins a page has the heading
// of its stock above it.
func (s *sessionSheet) flow(header item, items []item) flowed {
	f := flowed{end: s.area.Y}
	put := func(it item) {
		f.items = append(f.items, placedItem{it, f.last, f.end})
		f.end += it.height
	}
	put(header)
	put(s.headItem())
	for i, it := range items {
		if i > 0 && f.end+it.height+it.with > s.area.Y+s.area.Height {
			f.last, f.end = f.last+1, s.area.Y
			put(s.header(f.last))
			if it.table {
				put(s.headItem())
			}
			if it.heading != nil {
				put(it.heading.continued)
			}
		}
		put(it)
	}
	return f
}

// header stands above all else: on the first page with sums and the order of
// work.
func (s *sessionSheet) header(page int) item {
	const numberRoom = 25.0 // right of the first line
	day := fmt.Sprintf(s.words.Day, s.words.Weekdays[s.session.Date.Weekday()], s.Dates.Format(s.session.Date))
	var texts []set
	if s.Nursery != "" {
		texts = append(texts, s.setText(Where{Column: nurseryColumn}, s.Nursery, Regular, s.area.Width-numberRoom, stockText-1, 2))
	}
	size := dayText
	if page > 0 {
		size = stockText
	}
	texts = append(texts, s.setText(Where{}, day, Bold, s.area.Width-numberRoom, size, 1))
	if page == 0 {
		grafts, trays := 0, 0
		for _, b := range s.session.Batches {
			grafts += b.Grafts
			trays += b.Trays()
		}
		texts = append(texts,
			s.setText(Where{}, fmt.Sprintf(s.words.Totals, len(s.session.Batches), grafts, trays), Bold, s.area.Width, stockText, 1),
			s.setText(Where{}, s.words.Order, Regular, s.area.Width, smallText, 3))
	}
	height := 0.0
	for _, text := range texts {
		height += text.height() + rowGap
	}
	return item{height: height, draw: func(c canvas, y float64) {
		for _, text := range texts {
			y = text.draw(c, s.area.X, y) + rowGap
		}
	}}
}

// number stands at the right of the first line.
func (s *sessionSheet) number(c canvas, page, pages int) {
	text := fmt.Sprintf(s.words.Page, page, pages)
	width := c.face.measure(text, smallText, Regular).width()
	line(text, smallText, Regular).draw(c, s.area.X+s.area.Width-width, s.area.Y)
}
