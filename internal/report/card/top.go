package card

import (
	"image/color"

	"rsc.io/qr"
)

const leastTitle = 13.0 // points; what is longer takes two lines

// dotWide is the least width of a dot of the code, mm: a phone reads it. Our own choice.
const dotWide = 0.35

// head draws the title, the date and the reference with its code.
func (c *canvas) head(s *Sheet, says speaker) {
	right, high := c.paper.w, 0.0
	if s.Ref != "" {
		if code, err := qr.Encode(s.Ref, qr.L); err == nil {
			side := max(8+6*c.k, dotWide*float64(code.Size))
			c.add(mark{rect: rect{c.paper.right() - side, c.y, side, side}, dots: dotsOf(code, c.paper.right()-side, c.y, side), fill: color.Black})
			right, high = right-side-4, side
		}
	}
	title := letters{bold: true, points: 15 + 4*c.k}
	if one := fitted(title, s.Title, right); one.points >= leastTitle {
		title = one
	}
	h := c.text(c.paper.x, c.y, right, title, s.Title)
	small := c.letters(7.2)
	sub := s.Date.Format("2 January 2006") + " · " + s.Note
	if s.Ref != "" {
		sub += " " + says.say("card.in-the-log", "ref", s.Ref)
	}
	h += c.text(c.paper.x, c.y+h, right, small, sub)
	c.beside = c.y + high + 1.2*c.k
	c.y += h + 1.2*c.k
}

// dotsOf are the dark parts of a code, line by line.
func dotsOf(code *qr.Code, x0, y0, side float64) (all []rect) {
	dot := side / float64(code.Size)
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			from := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > from {
				all = append(all, rect{x0 + float64(from)*dot, y0 + float64(y)*dot, float64(x-from) * dot, dot + 0.01})
			}
		}
	}
	return all
}

// top draws the photos, and beside them what to mix and what to do before the first coat.
func (c *canvas) top(s *Sheet, says speaker) {
	x, w := c.paper.x, c.paper.w
	photos := c.y
	if len(s.Photos) > 0 {
		wide, high := c.photos(s)
		x, w, photos = x+wide+4, w-wide-4, c.y+high
	}
	at := max(c.y, c.beside)
	if len(s.Mixes) > 0 {
		at += c.heading(x, at, w, says.say("card.mix"))
		for _, m := range s.Mixes {
			at += c.mix(x, at, w, m) + 1.1*c.k
		}
	}
	before := func(y float64) float64 {
		h := c.heading(x, y, w, says.say("card.before"))
		return h + c.steps(x, y+h, w, s.Before)
	}
	switch {
	case len(s.Before) == 0:
	case at+c.height(func() float64 { return before(at) }) > c.paper.bottom(): // longer than a page
		c.y = max(at, photos)
		c.longList(says.say("card.before"), s.Before)
		c.y += 1.2 * c.k
		return
	default:
		at += before(at)
	}
	c.y = max(at, photos) + 1.2*c.k
}

// longList draws steps over as many pages as they need.
func (c *canvas) longList(title string, all []Step) {
	var blocks []block
	for _, step := range all {
		blocks = append(blocks, func(x, y, w float64) float64 { return c.step(x, y, w, step) })
	}
	c.need(15)
	c.y += c.heading(c.paper.x, c.y, c.paper.w, title)
	c.flow(2, 4, blocks)
}

// photos draws up to two, one under the other, and returns how much room they take.
func (c *canvas) photos(s *Sheet) (wide, high float64) {
	all := s.Photos[:min(2, len(s.Photos))] // a card has room for two
	most := c.photo / float64(len(all))
	for _, img := range all {
		b := img.Bounds()
		w, h := 0.42*c.paper.w, 0.0
		if h = w * float64(b.Dy()) / float64(b.Dx()); h > most {
			w, h = w*most/h, most
		}
		c.add(mark{rect: rect{c.paper.x, c.y + high, w, h}, picture: img})
		wide, high = max(wide, w), high+h+1
	}
	return wide, high
}

// mix draws what to mix of one coating, with the letter that rows have for it.
func (c *canvas) mix(x, y, w float64, m Mix) float64 {
	l := c.letters(10)
	in := 0.0
	if m.Letter != "" {
		in = c.tag(x, y, l.heavy(), m.Letter, color.Black, color.White) + 1.5
	}
	runs := []run{{l.heavy(), m.Coating + ": " + m.Ratio + "."}}
	if m.Amount != "" {
		runs = append(runs, run{l, m.Amount})
	}
	return max(c.write(x+in, y+0.1*l.em(), w-in, runs...), 1.45*l.em())
}

// steps draws boxes to tick in two columns, filled row by row, and returns their height.
func (c *canvas) steps(x, y, w float64, all []Step) float64 {
	const gap = 3.0
	columns := max(1, min(3, int(w/50)))
	if c.k >= 0.9 {
		columns = min(columns, 2)
	}
	half := (len(all) + columns - 1) / columns
	columns = (len(all) + half - 1) / half
	each := (w - float64(columns-1)*gap) / float64(columns)
	highest := 0.0
	for i := range columns {
		at := y
		for n := i * half; n < min(len(all), (i+1)*half); n++ {
			at += c.step(x+float64(i)*(each+gap), at, each, all[n])
		}
		highest = max(highest, at-y)
	}
	return highest
}
