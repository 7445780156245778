package chart

import (
	"fmt"
	"strings"

	"huewright/imageio"
)

// An Error reports that no chart of a photo can be used, and why.
type Error struct {
	Path    string // of the photo, as the user gave it
	Fault   Fault
	Places  [][4]imageio.Point // corners of what was found: of all charts, or of both ways round
	Problem string
	Advice  string
}

func (e *Error) Error() string { return imageio.JoinPath(e.Path, e.Problem) }

// Hint says what to do next.
func (e *Error) Hint() string { return e.Advice }

const layAdvice = "lay the whole chart flat beside the wood, nothing on it, with its printed side to the camera, " +
	"and take the photo again; or use a grey card or paper"

func noChart(p *imageio.Photo, at *imageio.Point) error {
	e := &Error{
		Path: p.Path, Fault: NoChart, Problem: "no 24-patch chart found",
		Advice: "give the outer corners of its patch field, or take the photo from nearer with all of it in the picture",
	}
	if at != nil {
		e.Problem = fmt.Sprintf("no 24-patch chart found at %.0f,%.0f", at.X, at.Y)
	}
	return e
}

func severalCharts(p *imageio.Photo, charts []finding) error {
	e := &Error{Path: p.Path, Fault: SeveralCharts}
	var middles []string
	for _, f := range charts {
		e.Places = append(e.Places, f.corners)
		middles = append(middles, f.where())
	}
	e.Problem = fmt.Sprintf("%d charts in the photo, their middles at %s", len(charts), strings.Join(middles, " and "))
	e.Advice = fmt.Sprintf("name the one that lies in the same light as the wood by a point on it, such as %q", middles[0])
	return e
}

// faulty is the error for the only thing that was found.
func faulty(p *imageio.Photo, f *finding) error {
	e := &Error{Path: p.Path, Fault: f.fault, Places: [][4]imageio.Point{f.corners}, Advice: layAdvice}
	say := func(format string, args ...any) {
		e.Problem = fmt.Sprintf("the chart at %s ", f.where()) + fmt.Sprintf(format, args...)
	}
	switch f.fault {
	case mirrored:
		say("is mirrored")
		e.Advice = "use the photo as the camera took it, not flipped"
	case cutOff:
		say("is cut off by the picture's edge: not all in the picture: %s", few(f.outside))
	case covered:
		say("is partly covered or in glare: these patches do not show their colour: %s", few(f.hidden))
		if len(f.hidden) <= mostHidden {
			say("is partly covered or blurred: the edges of its patches cannot be seen")
		}
	case tooSmall:
		say("is too small: a patch is only %.1f pixels wide, need %d", shortestSide(f.corners), leastPatchSide)
		e.Advice = "take the photo from nearer"
	case EitherWay:
		e.Places = append(e.Places, f.other)
		say("fits nearly as well two ways round (ΔE00 %.1f and %.1f on average)", f.misfit, f.next)
		e.Advice = fmt.Sprintf("say which by its corners: %q or %q", cornersText(f.corners), cornersText(f.other))
	case otherCard:
		e.Problem = fmt.Sprintf("the card at %s is not the 24-patch chart", f.where())
		if f.shown > 0 {
			e.Problem += fmt.Sprintf(": its patches have no gaps between them, "+
				"and their colours are off by ΔE00 %.1f on average", f.misfit)
		}
		e.Advice = "use a 24-patch chart of 4 rows of 6, a grey card or paper"
	}
	return e
}

// few lists names, the first of them if there are many.
func few(names []string) string {
	const most = 6
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}

func cornersText(q [4]imageio.Point) string {
	words := make([]string, len(q))
	for i, c := range q {
		words[i] = fmt.Sprintf("%.1f,%.1f", c.X, c.Y)
	}
	return strings.Join(words, " ")
}
