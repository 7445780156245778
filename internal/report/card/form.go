package card

// A form is what is filled in for a coat: its box, when and in what air it was laid, and how it came out.
type form struct {
	*canvas
	letters
	coat         *Coat
	line         float64  // from one line to the next
	side, small  float64  // of the coat's box, and of those to answer
	scuff        string   // "" where it is not rubbed down
	blanks       []string // before lines to write on
	answers      []string
	answersWidth float64
}

func (c *canvas) form(k *Coat, says speaker, points float64) *form {
	f := &form{
		canvas: c, letters: letters{points: points}, coat: k, blanks: []string{says.say("card.time"), says.degrees()},
		answers: []string{says.say("card.lighter"), says.say("card.right"), says.say("card.darker")},
	}
	f.line = max(2.9, f.letters.line()*1.15)
	f.side, f.small = min(2*f.line-0.7, 8.5), 0.8*f.em()
	if k.Scuffed {
		f.scuff = says.say("card.scuff")
	}
	for _, a := range f.answers {
		f.answersWidth = max(f.answersWidth, f.small+0.7+f.width(a))
	}
	return f
}

const (
	formGap    = 1.2 // between the parts of a form, mm
	leastBlank = 4.5 // to write on, mm
)

// tick draws a small box and its word.
func (f *form) tick(x, y float64, word string) {
	f.box(x, y+0.2*f.em(), f.small)
	f.put(x+f.small+0.7, y, f.letters, word)
}

// ticked is how wide that is.
func (f *form) ticked(word string) float64 {
	if word == "" {
		return 0
	}
	return f.small + 0.7 + f.width(word)
}

// roomy is how wide a form is whose blanks stand beside its box.
func (f *form) roomy() float64 {
	upper := f.side + formGap + max(f.width(f.coat.Planned), f.width(f.blanks[0])+leastBlank)
	lower := max(f.side, f.ticked(f.scuff)) + formGap + f.width(f.blanks[1]) + leastBlank
	return max(upper, lower) + formGap + f.answersWidth
}

// wide draws the form with the blanks beside the box, and returns its height.
func (f *form) wide(x, y, w float64) float64 {
	f.box(x, y+0.3, f.side)
	from, to := x+f.side+formGap, x+w-f.answersWidth
	for i, a := range f.answers {
		f.tick(to, y+float64(i)*f.line, a)
	}
	to -= formGap
	f.put(from, y, f.letters, f.coat.Planned)
	f.blank(from, y+f.line, to, f.letters, f.blanks[0])
	if f.scuff != "" {
		f.tick(x, y+2*f.line, f.scuff)
		from = x + max(f.side, f.ticked(f.scuff)) + formGap
	}
	f.blank(from, y+2*f.line, to, f.letters, f.blanks[1])
	return 3*f.line + 0.3
}

// narrow draws the form with the blanks under the box, and returns its height.
func (f *form) narrow(x, y, w float64) float64 {
	f.box(x, y+0.3, f.side)
	for i, a := range f.answers {
		f.tick(x+max(f.side+formGap, w-f.answersWidth), y+float64(i)*f.line, a)
	}
	h := 3 * f.line
	if f.scuff != "" {
		f.tick(x, y+h, f.scuff)
		h += f.line
	}
	if f.coat.Planned != "" {
		f.put(x, y+h, fitted(f.letters, f.coat.Planned, w), f.coat.Planned)
		h += f.line
	}
	for _, b := range f.blanks {
		f.blank(x, y+h, x+w, f.letters, b)
		h += f.line
	}
	return h + 0.3
}
