package card

import (
	"cmp"

	"huewright/internal/fault"
	"huewright/internal/words"
)

// Papers are the sizes of a sheet that a card is printed on: the first where units are metric, the second where they are US.
var Papers = []string{"A4", "Letter"}

// sizes are those of Papers, in mm; Letter is 8.5 by 11 in. Source: ISO 216 (A4).
var sizes = map[string][2]float64{"A4": {210, 297}, "Letter": {215.9, 279.4}}

// PaperFor is the size of a sheet where units are used.
func PaperFor(units string) string {
	if units == "us" {
		return Papers[1]
	}
	return Papers[0]
}

const (
	margin    = 9.0 // mm
	foot      = 4.0 // height of the foot of a page of several, mm
	onOnePage = 6   // areas; with more a card has two pages
)

// A level is how roomy a card is.
type level struct {
	k      float64 // small letters and gaps over the usual
	photo  float64 // height of the photos at most, mm
	swatch float64 // height of swatches, mm
}

// Levels, k from roomy to tight. Our own choice: letters of the smallest are read in the hand, counts from 1.5 m whatever the level.
const tight, step, levels = 0.75, 0.03, 20

// base is a level with photos and swatches no larger than they must be.
func base(k float64) level {
	l := level{k: k, photo: 40, swatch: 4 + 5*(k-tight)}
	if k < 1 {
		l.photo = 20 + 60*(k-tight)
	}
	return l
}

// countPoints are the letters of a count. A count is never lower than leastCount.
func (l level) countPoints() float64 { return leastCount + 30*(l.k-tight) }

// why reports whether there is room to say why a step comes before the coats.
func (l level) why() bool { return l.k >= 1.1 }

// layOut places a card on paper: on one page for up to six areas, on two beyond. Where not even the tightest has room there, what is
// left, its cautions as a rule, goes on as many more as the tightest needs.
func layOut(s *Sheet, paper string) *canvas {
	allowed := 1
	if len(s.Areas) > onOnePage {
		allowed = 2
	}
	tightest := drawn(s, paper, base(tight), allowed > 1)
	allowed = max(allowed, len(tightest.pages))
	for n := levels; n > 0; n-- {
		k := tight + float64(n)*step
		if c := drawn(s, paper, base(k), allowed > 1); len(c.pages) <= allowed && (k <= 1 || c.free >= leastNotes) {
			return c.filledUp(s, paper)
		}
	}
	return tightest.filledUp(s, paper)
}

// Room that is left is given to photos as high as these, as long as there is room for notes; then to swatches.
var photoHeights = []float64{90, 80, 70, 62, 55, 48, 42, 36, 32, 28, 24}

const (
	leastNotes = 20.0 // height with which notes are worth having, mm
	noteLine   = 7.0  // of one line of them at least
	forNotes   = 30.0 // that is kept for them where there is that much
	moreSwatch = 9.0  // added to the height of swatches at most
)

// filledUp is a card whose photos and swatches are as high as its room allows.
func (c *canvas) filledUp(s *Sheet, paper string) *canvas {
	keep := 0.0
	if c.free >= leastNotes {
		keep = leastNotes
	}
	best := c
	for _, h := range photoHeights {
		l := c.level
		l.photo = h
		if larger := drawn(s, paper, l, c.footed); h > c.photo && len(larger.pages) <= len(c.pages) && larger.free >= keep {
			best = larger
			break
		}
	}
	spare := best.free
	if spare > forNotes {
		spare -= forNotes
	}
	for _, share := range []float64{1, 0.7, 0.4} { // on two pages not all of it helps
		l := best.level
		l.swatch += min(moreSwatch, share*spare/float64(max(1, len(s.Areas))))
		if fuller := drawn(s, paper, l, c.footed); len(fuller.pages) <= len(c.pages) {
			return fuller
		}
	}
	return best
}

// drawn is a card at one level, with or without feet that number its pages.
func drawn(s *Sheet, paper string, l level, footed bool) *canvas {
	size := sizes[paper]
	c := &canvas{level: l, name: paper, footed: footed, paper: rect{margin, margin, size[0] - 2*margin, size[1] - 2*margin}}
	if footed {
		c.paper.h -= foot
	}
	c.frame = c.paper
	c.newPage()
	says := speakerOf(s)
	c.head(s, says)
	c.top(s, says)
	c.areas(s, says)
	c.after(s, says)
	c.careful(s, says)
	c.end(says)
	if footed {
		c.feet(s, says)
	}
	return c
}

// A speaker says the words of a card.
type speaker struct{ words.Speaker }

func speakerOf(s *Sheet) speaker { return speaker{words.Speaker{Voice: words.Page, US: s.US}} } // paper knows no flags either

func (s speaker) say(code fault.Code, values ...any) string { return s.Say(fault.Say(code, values...)) }

// unit is what a count is of.
func (s speaker) unit(a *Area) string { return s.say("card.coats", "count", a.Count, "laid", a.Laid) }

// degrees are those of a thermometer.
func (s speaker) degrees() string {
	us := "no"
	if s.US {
		us = "yes"
	}
	return s.say("card.degrees", "us", us)
}

// heading is a title over a part with a rule, and after it what stands over all of that part. It returns its height.
func (c *canvas) heading(x, y, w float64, title string, over ...string) float64 {
	l, small := c.letters(9.5).heavy(), c.letters(7.4)
	top := 0.9 * c.k
	h := top + c.text(x, y+top, w, l, title)
	if len(over) > 0 {
		in := l.width(title) + 3
		if small.width(over[0]) <= w-in {
			c.put(x+in, y+top+ascent*(l.em()-small.em()), small, over[0])
		} else {
			h += c.text(x, y+h, w, small, over[0])
		}
	}
	c.rule(x, y+h, w, 0.25, grey)
	return h + 0.9*c.k
}

// step draws a step with its box.
func (c *canvas) step(x, y, w float64, s Step) float64 {
	l := c.letters(8)
	side := 0.92 * l.em()
	c.box(x, y+0.16*l.em(), side)
	in := x + side + 1.2
	runs := []run{}
	if s.Time != "" {
		runs = append(runs, run{l.heavy(), s.Time})
	}
	h := c.write(in, y, w-(in-x), append(runs, run{l, s.What})...)
	if c.why() {
		small := c.letters(6.8)
		for _, note := range s.Notes {
			h += c.text(in, y+h, w-(in-x), small, note)
		}
	}
	return h + 0.5*c.k
}

// A block is a part of a column, drawn at a place in a width.
type block func(x, y, w float64) (height float64)

// flow draws blocks in columns one after another, as low as they can be, and begins pages where they need them.
func (c *canvas) flow(columns int, gap float64, blocks []block) {
	w := (c.paper.w - float64(columns-1)*gap) / float64(columns)
	heights := make([]float64, len(blocks))
	total := 0.0
	for i, b := range blocks {
		heights[i] = c.height(func() float64 { return b(0, 0, w) })
		total += heights[i]
	}
	for len(blocks) > 0 {
		low := min(total/float64(columns), c.room())
		n := 0
		for ; ; low += 0.25 { // the lowest columns that hold all, or all that the page holds
			if n = filled(heights, columns, low); n == len(blocks) || low >= c.room() {
				break
			}
		}
		if n < len(blocks) && low > c.room() {
			n = filled(heights, columns, c.room())
		}
		if n == 0 && c.y > c.paper.y {
			c.newPage()
			continue
		}
		n = max(n, 1) // what is higher than a page
		lowest := c.placed(blocks[:n], heights[:n], columns, w, gap, min(low, c.room()))
		for _, h := range heights[:n] {
			total -= h
		}
		blocks, heights = blocks[n:], heights[n:]
		c.y = lowest
		if len(blocks) > 0 {
			c.newPage()
		}
	}
}

// filled is how many blocks find room in columns of a height.
func filled(heights []float64, columns int, high float64) (n int) {
	for range columns {
		left := high + 1e-6
		for n < len(heights) && heights[n] <= left {
			left -= heights[n]
			n++
		}
	}
	return n
}

// placed draws blocks in columns of a height and returns where the lowest ends.
func (c *canvas) placed(blocks []block, heights []float64, columns int, w, gap, high float64) (lowest float64) {
	x, y, column := c.paper.x, c.y, 1
	for i, b := range blocks {
		if y+heights[i] > c.y+high+1e-6 && column < columns && y > c.y {
			x, y, column = x+w+gap, c.y, column+1
		}
		c.within(rect{x, y, w, heights[i]}, func() { b(x, y, w) })
		y += heights[i]
		lowest = max(lowest, y)
	}
	return cmp.Or(lowest, c.y)
}
