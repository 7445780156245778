package card

import (
	"cmp"
	"fmt"
	"image/color"
	"slices"
	"strings"

	"huewright/colour"
)

// Widths of a row, in mm.
const (
	countWide = 38.0 // the count and its words
	endWide   = 13.0 // a swatch of what an area is now, or is to come to, at least
	endMost   = 45.0 // and at most
	mostCoat  = 62.0 // a coat with more room than its blanks need
	roomyCoat = 29.5 // a coat whose blanks stand beside its box
	leastCoat = 18.0 // one whose blanks stand under it
	stopWide  = 4.4  // the black bar
)

// areas draws a wide row for each area.
func (c *canvas) areas(s *Sheet, says speaker) {
	for i := range s.Areas {
		a := &s.Areas[i]
		h := c.height(func() float64 { return c.row(a, says, c.y) })
		legend := 0.0
		if i == 0 {
			legend = c.letters(7).line() + 0.6
		}
		c.need(h + legend)
		if i == 0 {
			c.text(c.paper.x, c.y, c.paper.w, c.letters(7), says.say("card.legend"))
			c.y += legend
		}
		c.within(rect{c.paper.x, c.y, c.paper.w, h}, func() { c.row(a, says, c.y) })
		c.y += h
	}
	if len(s.Areas) > 0 {
		c.rule(c.paper.x, c.y, c.paper.w, 0.5, color.Black)
		c.y += 1.5 * c.k
	}
}

// row draws the row of one area and returns its height.
func (c *canvas) row(a *Area, says speaker, y float64) float64 {
	x, w := c.paper.x, c.paper.w
	c.rule(x, y, w, 0.5, color.Black)
	top := y + 0.5 + 0.7*c.k
	at := top + c.title(a, x, top, w) + 0.4*c.k
	left := c.count(a, says, x, at)
	in := x + countWide + 2
	strip := c.strip(a, says, in, at, w-countWide-2)
	strip += 0.4 + c.foot(a, in, at+strip+0.4, w-countWide-2)
	return at - y + max(left, strip) + 0.9*c.k
}

// title draws an area's number and name, and what it is beside or under them.
func (c *canvas) title(a *Area, x, y, w float64) float64 {
	l := letters{bold: true, points: 5.8 + 6.4*c.k}
	in := c.tag(x, y, letters{bold: true, points: l.points - 1}, fmt.Sprint(a.Number), color.White, color.Black) + 1.6
	lines := wrap(w-in, []run{{l, a.Name}})
	h := c.text(x+in, y, w-in, l, a.Name)
	if a.About == "" || len(lines) == 0 {
		return h
	}
	small := c.letters(7.4)
	end := in + l.width(lines[len(lines)-1][0].text) + 3
	if wide := small.width(a.About); end+wide <= w {
		c.put(x+w-wide, y+h-l.line()+ascent*(l.em()-small.em()), small, a.About)
		return h
	}
	return h + c.text(x+in, y+h, w-in, small, a.About)
}

// count draws the count, large, and its words.
func (c *canvas) count(a *Area, says speaker, x, y float64) float64 {
	text, l := a.Count, letters{bold: true, points: c.countPoints()}
	if l = fitted(l, text, countWide); l.points < leastCount { // too many coatings: how many coats in all
		text, l.points = fmt.Sprint(len(a.Steps)), leastCount
	}
	high := capHeight * l.em()
	y += 1.2
	c.put(x, y-(ascent-capHeight)*l.em(), l, text)
	small := c.letters(7.4)
	in := l.width(text) + 1.5
	if unit := says.unit(a); in+small.width(unit) <= countWide {
		c.put(x+in, y+high-ascent*small.em(), small, unit)
	}
	h := high + 1.2
	return 1.2 + h + c.text(x, y+h, countWide, small, a.Coats)
}

// leastCount is the least size of a count, in points: capital letters of 8 mm.
const leastCount = 33.0

// strip draws the swatches of an area edge to edge: as it is now, after each coat, and what it is to come to; under each coat its box
// and what is to be written down. Coats for which one line is too short stand in several.
func (c *canvas) strip(a *Area, says speaker, x, y, w float64) (h float64) {
	now, target := a.Swatches[0], a.Swatches[len(a.Swatches)-1]
	if len(a.Steps) == 0 {
		each := min(w/2, endMost)
		return max(c.endOf(now, x, y, each), c.endOf(target, x+each, y, each))
	}
	most := int((w - 2*endWide - stopWide) / leastCoat)
	lines := (len(a.Steps) + most - 1) / most
	per := (len(a.Steps) + lines - 1) / lines
	ends := max(endWide, min(endMost, max(0.7*w/float64(per+2), (w-stopWide-mostCoat*float64(per))/2)))
	if with := (w - stopWide - roomyCoat*float64(per)) / 2; with >= endWide {
		ends = min(ends, with)
	}
	each := (w - stopWide - 2*ends) / float64(per)
	for n := 0; n < len(a.Steps); n += per {
		at, line := x, 0.0
		if n == 0 {
			line = c.endOf(now, at, y+h, ends)
			at += ends
		}
		var done float64
		at, done = c.coats(a, says, n, min(n+per, len(a.Steps)), at, y+h, each)
		line = max(line, done)
		if n+per >= len(a.Steps) {
			line = max(line, c.endOf(target, at, y+h, x+w-at))
		}
		h += line + 0.6
	}
	return h
}

// coats draws some coats of an area beside one another, with the black bar where it stands, and returns how far they reach.
func (c *canvas) coats(a *Area, says speaker, from, to int, x, y, each float64) (right, high float64) {
	points := c.letters(formPoints).points
	for i := from; i < to; i++ { // all forms are of one size
		f := c.form(&a.Steps[i], says, points)
		for f.roomy() > each-cellEdges && points >= leastPoints {
			points -= 0.25
			f = c.form(&a.Steps[i], says, points)
		}
	}
	for i := from; i < to; i++ {
		high = max(high, c.height(func() float64 { return c.coat(&a.Steps[i], says, x, y, each, 0, points) }))
	}
	for i := from; i < to; i++ {
		w := each
		if a.StopAt == i+1 {
			w += stopWide
		}
		c.within(rect{x, y, w, high}, func() { c.coat(&a.Steps[i], says, x, y, w, w-each, points) })
		x += w
		if a.StopAt == i+1 {
			c.stop(says, x-stopWide, y+c.swatch, high-c.swatch)
		} else {
			c.rule(x, y+c.swatch, 0.15, high-c.swatch, lightGrey)
		}
	}
	return x, high
}

// swatchOf draws a colour with its tag.
func (c *canvas) swatchOf(lab colour.Lab, name string, x, y, w float64) {
	c.add(mark{rect: rect{x, y, w, c.swatch}, fill: paint(lab), line: grey, width: 0.1})
	c.tag(x+0.5, y+0.5, letters{bold: true, points: min(8*c.k, 8)}, name, color.White, color.Black)
}

// endOf draws what an area is now or is to come to, with its figures under it.
func (c *canvas) endOf(s Swatch, x, y, w float64) float64 {
	c.swatchOf(s.Lab, s.Name, x, y, w)
	l := letters{points: leastPoints}
	f := s.Figures()
	if l.width(f)+1.2 <= w {
		c.put(x+0.9, y+c.swatch+0.4, l, f)
		return c.swatch + 0.4 + l.line()
	}
	h := c.swatch + 0.4
	for _, part := range figuresIn(s.Lab) {
		c.put(x+0.9, y+h, l, part)
		h += l.line()
	}
	return h
}

func figuresIn(lab colour.Lab) []string {
	return []string{
		fmt.Sprintf("L* %.0f", lab.L), fmt.Sprintf("a* %.0f", round0(lab.A)), fmt.Sprintf("b* %.0f", round0(lab.B)),
	}
}

// foot draws what is left over in the end, under the strip; before it, where the cells have no room, what is to be known of the coats.
func (c *canvas) foot(a *Area, x, y, w float64) (h float64) {
	l := c.letters(7.4)
	small, in := 0.8*l.em(), 0.0
	var line []run
	for i := range a.Steps {
		k := &a.Steps[i]
		text := strings.Join(append(notEmpty(k.Seal), k.Notes...), " ")
		if text == "" || c.k >= named {
			continue
		}
		if line != nil {
			h += c.write(x+in, y+h, w-in, line...)
		}
		line, in = []run{{l.heavy(), joined(fmt.Sprint(k.Number), k.Letter) + ":"}, {l, text}}, 0
		if k.Seal != "" {
			c.box(x, y+h+0.2*l.em(), small)
			in = small + 0.7
		}
	}
	if ends := cmp.Or(a.Short, a.Left); ends != "" {
		line = append(line, run{l, ends})
	}
	if line == nil {
		return h
	}
	return h + c.write(x+in, y+h, w-in, line...)
}

func notEmpty(text string) []string {
	if text == "" {
		return nil
	}
	return []string{text}
}

// named is how roomy a card must be for coats to have the name of their mix beside its letter, and their notes under them.
const named = 0.88

func joined(number, letter string) string {
	if letter == "" {
		return number
	}
	return number + " " + letter
}

const (
	formPoints = 7.0 // letters of a form at the usual level
	cellEdges  = 1.6 // what a form leaves free of its cell, mm
	tagWide    = 9.0 // what the tag of a swatch takes of it, mm
)

// coat draws one coat: its swatch, its box, and blanks in letters of so many points, or, with less than leastPoints, under one another.
// right is how much of it at the right is taken.
func (c *canvas) coat(k *Coat, says speaker, x, y, w, right, points float64) float64 {
	c.swatchOf(k.Lab, joined(fmt.Sprint(k.Number), k.Letter), x, y, w)
	ink := color.Color(color.Black)
	if k.Lab.L < 55 {
		ink = color.White
	}
	h, tiny := c.swatch+0.5, letters{points: leastPoints}
	wide := tiny.width(k.Figures())
	besideTag := wide+tagWide <= w
	if besideTag {
		c.put(x+w-0.8-wide, y+c.swatch-tiny.line()-0.2, tiny.in(ink), k.Figures())
	}
	in, w := x+0.9, w-right-cellEdges
	if !besideTag {
		h += c.text(in, y+h, w, tiny, k.Figures())
	}
	if k.Letter != "" && c.k >= named {
		h += c.text(in, y+h, w, c.letters(7), k.Coating)
	}
	f := c.form(k, says, points)
	if points >= leastPoints {
		h += f.wide(in, y+h, w)
	} else {
		f = c.form(k, says, c.letters(formPoints).points)
		h += f.narrow(in, y+h, w)
	}
	if c.k < named {
		return h // its notes stand under the row
	}
	note := c.letters(6.6)
	if k.Seal != "" {
		c.box(in, y+h+0.2*note.em(), f.small)
		h += c.text(in+f.small+0.7, y+h, w-f.small-0.7, note, k.Seal)
	}
	for _, n := range k.Notes {
		h += c.text(in, y+h, w, note, n)
	}
	return h
}

// stop draws the black bar at which to stop.
func (c *canvas) stop(says speaker, x, y, h float64) {
	c.rule(x, y, stopWide, h, color.Black)
	word := says.say("card.stop")
	l := fitted(letters{bold: true, points: 8.5}, word, h-1)
	wide, high := l.width(word), (ascent+descent)*l.em()
	c.add(mark{
		rect: rect{x + (stopWide-high)/2, y + (h-wide)/2, high, wide}, frame: rect{x, y, stopWide, h}, text: word, bold: true, points: l.points,
		turned: true, fill: color.White,
	})
}

// after draws what comes after the last coat, and the other plan.
func (c *canvas) after(s *Sheet, says speaker) {
	if len(s.After) > 0 {
		high := func() float64 {
			h := c.heading(c.paper.x, c.y, c.paper.w, says.say("card.afterwards"))
			return h + c.steps(c.paper.x, c.y+h, c.paper.w, s.After)
		}
		if h := c.height(high); h > c.paper.h {
			c.longList(says.say("card.afterwards"), s.After)
		} else {
			c.need(h)
			c.y += high() + 0.5*c.k
		}
	}
	said := []string{s.Other}
	if len(s.After) == 0 {
		said = []string{s.Ready, s.Other}
	}
	for _, text := range slices.DeleteFunc(said, func(t string) bool { return t == "" }) {
		l := c.letters(7.8)
		write := func() float64 { return c.text(c.paper.x, c.y, c.paper.w, l, text) }
		c.need(c.height(write))
		c.y += write() + 0.6*c.k
	}
	c.y += 0.4 * c.k
}
