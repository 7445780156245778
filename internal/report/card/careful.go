package card

import (
	"image/color"

	"huewright/internal/words"
)

// inFull is how many cautions stand in larger letters. Our own choice: more are not read.
const inFull = 3

// careful draws all cautions and warnings, none cut off: the worst dangers first and larger, the others under them.
func (c *canvas) careful(s *Sheet, says speaker) {
	if s.First == "" && len(s.Matters) == 0 && len(s.Warnings) == 0 {
		return
	}
	opening := func() float64 {
		h := c.heading(c.paper.x, c.y, c.paper.w, says.say("card.careful"), s.First)
		for _, w := range s.Warnings {
			h += c.text(c.paper.x, c.y+h, c.paper.w, c.letters(7.6).heavy(), "! "+w)
		}
		if len(s.Warnings) > 0 {
			h += 0.8 * c.k
		}
		return h
	}
	c.need(c.height(opening) + 8)
	c.y += opening()
	worst := s.Matters[:min(inFull, len(s.Matters))]
	c.flow(min(inFull, max(1, len(worst))), 4, c.cautions(worst, 7.8))
	if rest := s.Matters[len(worst):]; len(rest) > 0 {
		c.y += 0.5 * c.k
		c.flow(3, 4, c.cautions(rest, 6.7))
	}
	c.y += 0.8 * c.k
}

// cautions are blocks of cautions in letters of a size.
func (c *canvas) cautions(all []Caution, points float64) (blocks []block) {
	l := c.letters(points)
	for _, k := range all {
		blocks = append(blocks, func(x, y, w float64) float64 {
			return c.write(x, y, w, run{l.heavy(), words.Capital(k.Key) + ":"}, run{l, k.Text}) + 0.5*c.k
		})
	}
	return blocks
}

// end draws the last line, how it looks when all is done, at the foot of the page; and above it room for notes, where there is some.
func (c *canvas) end(says speaker) {
	l := letters{points: 9 + 2*(c.k-0.8)}
	c.need(l.line() + 1)
	foot := c.paper.bottom() - l.line() - 0.3
	c.free = foot - c.y
	if c.free >= leastNotes {
		c.y += c.heading(c.paper.x, c.y, c.paper.w, says.say("card.notes"))
		lines := int((foot - 1 - c.y) / noteLine)
		for n := 1; n < lines; n++ {
			c.rule(c.paper.x, c.y+(foot-1-c.y)*float64(n)/float64(lines), c.paper.w, 0.15, lightGrey)
		}
	}
	c.rule(c.paper.x, foot-0.6, c.paper.w, 0.5, color.Black)
	x := c.paper.x
	asks := says.say("card.looks-right")
	c.put(x, foot+0.3, l.heavy(), asks)
	x += l.heavy().width(asks) + 5
	for _, when := range []string{says.say("card.dry"), says.say("card.clear-coated"), says.say("card.by-day"), says.say("card.by-lamp")} {
		side := 0.95 * l.em()
		c.box(x, foot+0.3+0.1*l.em(), side)
		c.put(x+side+1.2, foot+0.3, l, when)
		x += side + 1.2 + l.width(when) + 8
	}
}

// feet number the pages.
func (c *canvas) feet(s *Sheet, says speaker) {
	l := letters{points: 6.5}
	for i := range c.pages {
		text := says.say("card.page", "page", i+1, "pages", len(c.pages))
		title := wrap(c.paper.w-l.width(text)-5, []run{{l, s.Title}})
		y := c.paper.bottom() + foot - l.line()
		c.within(rect{c.paper.x, y, c.paper.w, l.line()}, func() {
			c.pages[i] = append(c.pages[i], c.inked(c.paper.right()-l.width(text), y, l, text))
			if len(title) > 0 {
				c.pages[i] = append(c.pages[i], c.inked(c.paper.x, y, l, title[0][0].text))
			}
		})
	}
}
