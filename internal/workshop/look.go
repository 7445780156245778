package workshop

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/imageio/evenlight"
	"huewright/imageio/slip"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A PhotoLook is what is seen of a photo at once.
type PhotoLook struct {
	Width, Height int
	Format        string
	Warnings      []fault.Note
	Chart         string        // corners of a chart that was found, as a piece file has them; "" for none
	Unfit         fault.Note    `json:",omitzero"`  // the line about a photo with a chart that is less than good to measure from
	Slips         []slip.Design `json:",omitempty"` // printed slips that were found, by set and number
	SlipsAt       []string      `json:",omitempty"` // their corners, x,y x,y …
	// SlipsGiven are the printed slips that were read where somebody gave their corners, by those; [LookAt] knows of none.
	SlipsGiven map[string]SlipLook `json:",omitempty"`
	// Papers are outlines of what may be slips of white paper, from left to right.
	Papers []PaperLook `json:",omitempty"`
}

// A PaperLook is something that may be a slip of white paper.
type PaperLook struct {
	Outline string // as a piece file has it
	Corners string // x,y x,y …
	TopX    int    // of its uppermost corner
	TopY    int
}

// LookAt studies a photo: its size, what its camera noted that bears on colours, whether there is a chart in
// it, and where slips of paper may be.
func LookAt(ctx context.Context, files Files, path string) (PhotoLook, error) {
	p, err := files.OpenPhoto(ctx, path)
	if err != nil {
		return PhotoLook{}, err
	}
	look := PhotoLook{Width: p.Width, Height: p.Height, Format: p.Format, Warnings: slices.Clone(p.Warnings)}
	found, none := chart.Find(ctx, p, chart.Search{})
	var where *[4]imageio.Point
	if none == nil {
		where = &found.Corners
	}
	papers, err := evenlight.FindPaper(ctx, p, where)
	if err != nil {
		return PhotoLook{}, err
	}
	slips, err := slipsIn(ctx, files, path, p)
	if err != nil {
		return PhotoLook{}, err
	}
	for _, s := range slip.Once(slips) {
		found := slipLook(&s)
		look.Slips, look.SlipsAt = append(look.Slips, found.Design), append(look.SlipsAt, found.Corners)
	}
	papers = slices.DeleteFunc(papers, func(paper evenlight.Paper) bool {
		return slices.ContainsFunc(slips, func(s slip.Slip) bool { return s.Covers(paper.Outline.Centre()) })
	})
	// From left to right, so that they have the same numbers in photos that are framed alike.
	slices.SortStableFunc(papers, func(a, b evenlight.Paper) int { return cmp.Compare(a.Outline.Centre().X, b.Outline.Centre().X) })
	for _, paper := range papers {
		l := PaperLook{Outline: paper.Outline.String(), TopY: p.Height}
		for i, c := range paper.Outline.Points {
			if i > 0 {
				l.Corners += " "
			}
			l.Corners += fmt.Sprintf("%.0f,%.0f", c.X, c.Y)
			if int(c.Y) < l.TopY {
				l.TopX, l.TopY = int(c.X), int(c.Y)
			}
		}
		look.Papers = append(look.Papers, l)
	}
	if none != nil {
		return look, nil
	}
	var corners []string
	for _, c := range found.Corners {
		corners = append(corners, fmt.Sprintf("%.1f,%.1f", c.X, c.Y))
	}
	look.Chart = strings.Join(corners, " ")
	look.Unfit, err = unfit(ctx, p, found.Corners)
	return look, err
}

// unfit is the line about a photo that is less than good to measure from by its chart; empty for a good one, or where the chart cannot be
// used. The error is the context's.
func unfit(ctx context.Context, p *imageio.Photo, corners [4]imageio.Point) (fault.Note, error) {
	_, report, seen, err := chart.Fit(ctx, p, corners, chart.Options{})
	if err != nil {
		return fault.Note{}, ctx.Err()
	}
	c := Calibration{Reference: "chart", Report: report, Warnings: append(seen.Warnings, p.Warnings...)}
	if v := c.Verdict(); v.Answer != Good {
		return fault.Say("verdict.line", "answer", v.Answer, "why", v.Why), nil
	}
	return fault.Note{}, nil
}

// A SpotReading is the colour of one outline, for somebody who has just drawn it.
type SpotReading struct {
	Lab       colour.Lab
	PlusMinus float64
	Spread    float64 // of L*
	Pixels    int
	Warnings  []fault.Note
	By        string // what its photo's colours are set right by
	Relative  bool
}

// ReadSpot reads an outline in a photo of a piece, by that photo's own reference.
func ReadSpot(ctx context.Context, files Files, p *piece.Piece, photo, outline string) (SpotReading, error) {
	var s SpotReading
	for i := range p.Photos {
		if p.Photos[i].Name != photo {
			continue
		}
		ref, err := p.Photos[i].ReadReference()
		if err != nil {
			return s, err
		}
		o, err := imageio.ParseOutline(outline)
		if err != nil {
			return s, err
		}
		result, err := Measure(ctx, files,
			MeasureRequest{Photo: p.Photos[i].File, Reference: ref, Areas: []AreaOutline{{Name: "this spot", Outline: o}}})
		if err != nil {
			return s, err
		}
		return spotReading(result, 0), nil
	}
	return s, noPhoto(p, photo)
}

// spotReading is one of the areas that were measured.
func spotReading(m *MeasureResult, i int) SpotReading {
	r := &m.Areas[i].Reading
	return SpotReading{r.Mean, r.PlusMinus, r.Spread[0], r.Pixels, r.Warnings, m.Calibration.Reference, m.Calibration.Relative}
}
