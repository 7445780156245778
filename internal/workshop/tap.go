package workshop

import (
	"context"
	"slices"

	"huewright/imageio"
	"huewright/imageio/region"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

const (
	// insideEdge is how far a tapped area is drawn in from its edge before it is measured, as a share of the photo's longer side: edges are
	// blurred, rounded and in shadow. Our own choice.
	insideEdge = 0.004
	// mostShared is the share of the smaller of two tapped areas that both may take. Our own choice: cells at a border are coarse.
	mostShared = 0.05
)

// A grown area is what its taps were grown to.
type grown struct {
	inside imageio.Outline // drawn in from the edge, to be measured
	whole  imageio.Outline
}

// An obstacle is a part of a photo that is known to belong to no wood that is tapped.
type obstacle struct {
	imageio.Outline
	on fault.Note // what a tap lies on that is meant for a wood
}

// tapped fills in the outlines of areas that were tapped and not drawn.
func (s *calibratedPhoto) tapped(ctx context.Context, areas []AreaOutline) error {
	all, err := s.grow(ctx, areas, nil)
	if err != nil {
		return err
	}
	for i := range areas {
		if len(all[i].inside.Points) > 0 {
			areas[i].Outline = all[i].inside
		}
	}
	return nil
}

// grow grows the taps of areas that have no outline; the others get none. Areas that were drawn, the chart, printed slips, the taps of
// the other areas and what else is named are no part of a wood.
func (s *calibratedPhoto) grow(ctx context.Context, areas []AreaOutline, also []imageio.Outline) ([]grown, error) {
	all := make([]grown, len(areas))
	toGrow := func(a AreaOutline) bool { return len(a.Taps) > 0 && len(a.Outline.Points) == 0 }
	if !slices.ContainsFunc(areas, toGrow) {
		return all, nil
	}
	obstacles := s.obstacles(areas)
	leave := slices.Clone(also)
	for _, o := range obstacles {
		leave = append(leave, o.Outline)
	}
	for i := range areas {
		if err := s.checkTaps(&areas[i], obstacles); err != nil {
			return nil, err
		}
	}
	cells, err := region.Divide(ctx, s.photo)
	if err != nil {
		return nil, err
	}
	for i := range areas {
		if !toGrow(areas[i]) {
			continue
		}
		mask, err := cells.Take(ctx, amongOthers(areas, i), leave)
		if err != nil {
			return nil, err
		}
		all[i] = grown{shrunk(mask, s.photo), mask.Outline(0)}
	}
	return all, s.checkShared(areas, all)
}

// amongOthers are the taps of an area, with those on other areas as places that do not belong to it.
func amongOthers(areas []AreaOutline, i int) []region.Tap {
	taps := slices.Clone(areas[i].Taps)
	for k := range areas {
		for _, t := range areas[k].Taps {
			if k != i && !t.No {
				taps = append(taps, region.Tap{At: t.At, No: true})
			}
		}
	}
	return taps
}

// obstacles are what is known not to belong to a wood that is tapped.
func (s *calibratedPhoto) obstacles(areas []AreaOutline) (all []obstacle) {
	for _, a := range areas {
		if len(a.Taps) == 0 {
			all = append(all, obstacle{a.Outline, fault.Say("tap.area", "name", a.Name)})
		}
	}
	if c := s.calibration.Corners; c != nil {
		all = append(all, obstacle{imageio.Outline{Points: c[:]}, fault.Say("tap.chart")})
	}
	for i := range s.slips {
		all = append(all, obstacle{imageio.Outline{Points: s.slips[i].Corners[:]}, fault.Say("tap.slip")})
	}
	return all
}

// checkTaps refuses taps outside the photo, and those that are meant for a wood and lie on something else.
func (s *calibratedPhoto) checkTaps(a *AreaOutline, obstacles []obstacle) error {
	for _, t := range a.Taps {
		f := beyond(t, s.photo)
		for _, o := range obstacles {
			if f == nil && !t.No && o.Contains(t.At) {
				f = fault.New(fault.Use, "tap.on-other", "x", t.At.X, "y", t.At.Y, "other", o.on)
			}
		}
		if f != nil {
			return fault.In(f, fault.Place{File: s.photo.Path, Area: a.Name})
		}
	}
	return nil
}

// checkShared refuses two tapped areas that take the same wood.
func (s *calibratedPhoto) checkShared(areas []AreaOutline, all []grown) error {
	pixels := make([][]imageio.Span, len(all))
	for i := range all {
		if len(all[i].whole.Points) > 0 {
			pixels[i] = all[i].whole.Spans(s.photo.Width, s.photo.Height)
		}
	}
	for i := range all {
		for k := range i {
			least := min(imageio.CountPixels(pixels[i]), imageio.CountPixels(pixels[k]))
			if float64(shared(pixels[i], pixels[k])) > mostShared*float64(least) {
				return fault.In(fault.New(fault.Use, "tap.both", "one", areas[k].Name, "other", areas[i].Name),
					fault.Place{File: s.photo.Path, Area: areas[i].Name})
			}
		}
	}
	return nil
}

// shared counts the pixels that are in two sets of spans.
func shared(a, b []imageio.Span) (n int) {
	rows := map[int][]imageio.Span{}
	for _, s := range a {
		rows[s.Y] = append(rows[s.Y], s)
	}
	for _, s := range b {
		for _, o := range rows[s.Y] {
			n += max(0, min(s.X1, o.X1)-max(s.X0, o.X0))
		}
	}
	return n
}

// taken says how much of the photo was taken for a tapped area.
func (s *calibratedPhoto) taken(name string, o imageio.Outline) fault.Note {
	pixels := imageio.CountPixels(o.Spans(s.photo.Width, s.photo.Height))
	return fault.Say("tap.taken", "area", name, "share", float64(pixels)/float64(s.photo.Width*s.photo.Height))
}

// growTaps gives every area of the piece that is tapped the outline that its taps are grown to, in a piece of its own, and all of it to
// show in previews, unless the piece file says what to show.
func (p *Photos) growTaps(ctx context.Context) error {
	if !slices.ContainsFunc(p.piece.Areas, func(a piece.Area) bool { return a.Tap != "" }) {
		return nil
	}
	outlined := *p.piece
	outlined.Areas = slices.Clone(outlined.Areas)
	for _, s := range p.opened() {
		areas, of, err := s.areasIn(&outlined)
		if err != nil {
			return err
		}
		all, err := s.grow(ctx, areas, notWood(&outlined, s.name))
		if err != nil {
			return err
		}
		for i := range all {
			if len(all[i].inside.Points) == 0 {
				continue
			}
			a := &outlined.Areas[of[i]]
			a.Outline, a.Tap = all[i].inside.String(), ""
			if len(a.Shown) == 0 {
				a.Shown = []string{all[i].whole.String()}
			}
			p.warnings = append(p.warnings, s.taken(a.Name, all[i].inside).In(fault.Place{Area: a.Name}))
		}
	}
	p.piece = &outlined
	return nil
}

// areasIn are the areas of a piece that are drawn or tapped in this photo, and their places in it.
func (s *calibratedPhoto) areasIn(p *piece.Piece) (areas []AreaOutline, of []int, err error) {
	for i := range p.Areas {
		a := &p.Areas[i]
		if a.Typed() != nil || !s.is(a.Photo) {
			continue
		}
		outlined := AreaOutline{Name: a.Name}
		if a.Tap != "" {
			outlined.Taps, err = region.ParseTaps(a.Tap)
		} else {
			outlined.Outline, err = imageio.ParseOutline(a.Outline)
		}
		if err != nil {
			return nil, nil, fault.In(err, fault.Place{Area: a.Name})
		}
		areas, of = append(areas, outlined), append(of, i)
	}
	return areas, of, nil
}

// is reports whether this is the photo of a name; "" is the only one.
func (s *calibratedPhoto) is(name string) bool { return name == "" || name == s.name }

// notWood outlines what a piece marks in a photo beside its areas: slips, cards, ties, repairs, chips, test coats and targets.
func notWood(p *piece.Piece, photo string) (all []imageio.Outline) {
	add := func(of, text string) {
		if o, err := imageio.ParseOutline(text); err == nil && (of == "" || of == photo) { // "" is none, and a piece is checked when it is read
			all = append(all, o)
		}
	}
	source := func(c *piece.ColourSource) {
		if c != nil {
			add(c.Photo, c.Outline)
		}
	}
	source(p.Target)
	for i := range p.Areas {
		source(p.Areas[i].Target)
		for k := range p.Areas[i].Laid {
			source(&p.Areas[i].Laid[k].After)
		}
	}
	for _, r := range p.Repairs {
		add(r.Photo, r.Outline)
	}
	for _, t := range p.Ties {
		add(photo, t.In[photo])
	}
	for i := range p.Coatings {
		k := &p.Coatings[i]
		source(k.Chip)
		for t := range k.Tests {
			source(&k.Tests[t].Result)
		}
	}
	if at := slices.IndexFunc(p.Photos, func(f piece.Photo) bool { return f.Name == photo }); at >= 0 {
		ref, err := p.Photos[at].ReadReference()
		if err == nil && ref.Grey != nil {
			all = append(all, *ref.Grey)
		}
		for _, n := range ref.Neutrals {
			all = append(all, n.Outline)
		}
	}
	return all
}
