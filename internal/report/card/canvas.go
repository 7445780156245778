package card

import (
	"image"
	"image/color"
	"regexp"
	"strings"

	"huewright/colour"
)

// A rect is a place on paper, in mm from the upper left corner.
type rect struct{ x, y, w, h float64 }

func (r rect) right() float64  { return r.x + r.w }
func (r rect) bottom() float64 { return r.y + r.h }

// A mark is one thing on paper.
type mark struct {
	rect                // of text: from its highest letter to its lowest
	frame   rect        // that text must stay in
	text    string      // "" for none
	bold    bool        // letters
	points  float64     // their size
	turned  bool        // they read upwards
	picture image.Image // nil for none
	dots    []rect      // of a code, in one ink; nil for none
	fill    color.Color // of the letters, or of the rect; nil for none
	line    color.Color // round the rect; nil for none
	width   float64     // of that line, mm
}

// A canvas gathers the marks of some pages. Its k enlarges small letters and gaps.
type canvas struct {
	level
	name        string // of its paper
	paper       rect   // without margins
	pages       [][]mark
	y           float64 // what lies above is taken
	beside      float64 // at the right, where the code reaches lower
	free        float64 // height that is left for notes
	footed      bool    // pages are numbered
	frame       rect
	measureOnly bool
}

func (c *canvas) add(m mark) {
	if c.measureOnly {
		return
	}
	last := len(c.pages) - 1
	c.pages[last] = append(c.pages[last], m)
}

// within draws something that must stay in a frame.
func (c *canvas) within(frame rect, draw func()) {
	before := c.frame
	c.frame = frame
	draw()
	c.frame = before
}

// height is the height of what is drawn, which is not drawn.
func (c *canvas) height(draw func() float64) float64 {
	before := c.measureOnly
	c.measureOnly = true
	h := draw()
	c.measureOnly = before
	return h
}

// newPage begins a page.
func (c *canvas) newPage() {
	if !c.measureOnly {
		c.pages = append(c.pages, nil)
	}
	c.y = c.paper.y
}

// room is the height that is left on the page.
func (c *canvas) room() float64 { return c.paper.bottom() - c.y }

// need begins a new page where so much does not fit any more.
func (c *canvas) need(h float64) {
	if h > c.room() && c.y > c.paper.y {
		c.newPage()
	}
}

// A font is letters of a size, in points.
type letters struct {
	bold   bool
	points float64
	ink    color.Color // nil is black
}

func (l letters) em() float64                { return l.points * mmPerPoint }
func (l letters) line() float64              { return l.em() * pitch }
func (l letters) width(text string) float64  { return faceOf(l.bold).width(text, l.points) }
func (l letters) in(ink color.Color) letters { l.ink = ink; return l }
func (l letters) heavy() letters             { l.bold = true; return l }

// small and its like are letters of a size that shrinks with the level, but never under what can be read in the hand.
func (c *canvas) letters(points float64) letters {
	return letters{points: max(leastPoints, points*c.k)}
}

// leastPoints is the smallest size of letters on a card. Our own choice.
const leastPoints = 5.5

// put draws a line of text whose upper left corner is at x, y.
func (c *canvas) put(x, y float64, l letters, text string) {
	if text != "" {
		c.add(c.inked(x, y, l, text))
	}
}

// inked is a line of text.
func (c *canvas) inked(x, y float64, l letters, text string) mark {
	ink := l.ink
	if ink == nil {
		ink = color.Black
	}
	return mark{
		rect: rect{x, y, l.width(text), (ascent + descent) * l.em()}, frame: c.frame, text: text, bold: l.bold, points: l.points, fill: ink,
	}
}

// A run is a part of a paragraph in letters of one kind.
type run struct {
	letters
	text string
}

// write draws runs as a paragraph, wrapped to a width, and returns its height. A word that is wider is broken anywhere.
func (c *canvas) write(x, y, w float64, runs ...run) float64 {
	lines := wrap(w, runs)
	for _, line := range lines {
		at := x
		for _, r := range line {
			c.put(at, y, r.letters, r.text)
			at += r.width(r.text) + r.width(" ")
		}
		y += runs[0].line()
	}
	return float64(len(lines)) * runs[0].line()
}

// text is write of one run.
func (c *canvas) text(x, y, w float64, l letters, text string) float64 {
	return c.write(x, y, w, run{l, text})
}

// wrap breaks runs into lines no wider than w.
func wrap(w float64, runs []run) (lines [][]run) {
	var line []run
	wide := 0.0
	for _, r := range runs {
		space := r.width(" ")
		for _, word := range broken(wordsOf(r.text), r.letters, w) {
			gap := 0.0
			if len(line) > 0 {
				gap = space
			}
			if wide+gap+r.width(word) > w && len(line) > 0 {
				lines, line, wide, gap = append(lines, line), nil, 0, 0
			}
			if last := len(line) - 1; last >= 0 && line[last].letters == r.letters {
				line[last].text += " " + word
			} else {
				line = append(line, run{r.letters, word})
			}
			wide += gap + r.width(word)
		}
	}
	if len(line) > 0 {
		lines = append(lines, line)
	}
	return lines
}

// wordsOf splits a text where a line may end: not between a figure and its unit, within a range ("2 to 4"), or before a time of day.
func wordsOf(text string) (all []string) {
	for _, word := range strings.Fields(text) {
		last := len(all) - 1
		if last >= 0 && (unit.MatchString(word) && endsInFigure.MatchString(all[last]) ||
			count.MatchString(word) && rangeBegun.MatchString(all[last]) || timeOfDay.MatchString(word)) {
			all[last] += " " + word
			continue
		}
		all = append(all, word)
	}
	return all
}

var (
	unit         = regexp.MustCompile(`^(to|%|ml|l|fl|oz|°C|°F|m²|cm²|ft²|in²|grit)[.,;:)]*$`)
	timeOfDay    = regexp.MustCompile(`^[0-9]{2}:[0-9]{2}[.,]?$`)
	count        = regexp.MustCompile(`^[0-9]+[).,]*$`)
	endsInFigure = regexp.MustCompile(`[0-9]$`)
	rangeBegun   = regexp.MustCompile(`[0-9] to$`)
)

// broken has words that are wider than w in parts that are not.
func broken(words []string, l letters, w float64) (parts []string) {
	for _, word := range words {
		for l.width(word) > w {
			runes := []rune(word)
			n := len(runes) - 1
			for n > 1 && l.width(string(runes[:n])) > w {
				n--
			}
			if n < 1 {
				break // a single letter
			}
			parts, word = append(parts, string(runes[:n])), string(runes[n:])
		}
		parts = append(parts, word)
	}
	return parts
}

// fitted are letters small enough for a text to be no wider than w.
func fitted(l letters, text string, w float64) letters {
	if wide := l.width(text); wide > w {
		l.points *= w / wide
	}
	return l
}

// box draws a square to tick.
func (c *canvas) box(x, y, side float64) {
	c.add(mark{rect: rect{x, y, side, side}, fill: color.White, line: color.Black, width: max(0.2, side/22)})
}

// rule draws a line, across or down.
func (c *canvas) rule(x, y, w, h float64, ink color.Color) {
	c.add(mark{rect: rect{x, y, w, h}, fill: ink})
}

var (
	grey      = color.Gray{0x77}
	lightGrey = color.Gray{0xbb}
)

// paint is a colour as it is printed.
func paint(c colour.Lab) color.Color {
	p := c.LinearRGB().Encode()
	return color.NRGBA{p.R, p.G, p.B, 0xff}
}

// tag draws a text on a box of its own, white on black or black on white, and returns its width.
func (c *canvas) tag(x, y float64, l letters, text string, paper, ink color.Color) float64 {
	pad := 0.22 * l.em()
	r := rect{x, y, l.width(text) + 2.6*pad, (ascent+descent)*l.em() + pad}
	r.w = max(r.w, r.h)
	c.add(mark{rect: r, fill: paper, line: color.Black, width: 0.2})
	c.within(r, func() { c.put(x+(r.w-l.width(text))/2, y+pad/2, l.in(ink), text) })
	return r.w
}

// blank draws a line to write on after a word, up to the right edge.
func (c *canvas) blank(x, y, right float64, l letters, word string) {
	c.put(x, y, l, word)
	from := x + l.width(word) + 0.6
	c.rule(from, y+ascent*l.em()+0.3, right-from, 0.15, color.Black)
}
