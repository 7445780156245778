package web

import (
	"context"
	"fmt"
	"slices"

	"huewright/imageio"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// giveSlip puts a printed slip where somebody says that its frame is, in place of the one that was there before, and reads which it is.
func (s *Server) giveSlip(ctx context.Context, a stepRequest) error {
	corners, err := a.form.outline("corners", "the slip's corners")
	if err != nil {
		return err
	}
	d, err := s.drafts.load(a.id)
	if err != nil {
		return err
	}
	found, err := s.readSlip(ctx, d, a.form.text("photo"), a.form.text("from"), corners)
	if err != nil {
		return err
	}
	return s.change(ctx, a, func(d *pieceDraft, f form) error {
		p := d.photo(f.text("photo"))
		if p == nil {
			return errNoPhoto
		}
		leaveSlip(d, p, f.text("from"), found.Corners)
		p.SlipCorners = slices.DeleteFunc(slices.Clone(p.SlipCorners), func(given string) bool { return overlap(given, found.Corners) })
		p.SlipCorners = append(p.SlipCorners, found.Corners)
		look := d.Photos[p.Name]
		given := map[string]workshop.SlipLook{found.Corners: found}
		for _, corners := range p.SlipCorners {
			if earlier, known := look.SlipsGiven[corners]; known {
				given[corners] = earlier
			}
		}
		look.SlipsGiven = given
		d.Photos[p.Name] = look
		d.readAgain()
		return nil
	})
}

// readSlip reads which printed slip lies at corners on a photo, where the one that it comes in place of, "" for none, is not.
func (s *Server) readSlip(ctx context.Context, d *pieceDraft, photo, from, corners string) (found workshop.SlipLook, err error) {
	p := d.photo(photo)
	if p == nil {
		return found, errNoPhoto
	}
	leaveSlip(d, p, from, corners)
	release, err := s.acquire(ctx)
	if err != nil {
		return found, err
	}
	defer release()
	return workshop.ReadSlip(ctx, s.album, &d.Piece, photo, corners)
}

// leaveSlip takes a printed slip of a photo, by its corners, out of a draft: one that was given is forgotten, and one that was found is
// said to be none, unless it lies where the corners say that one is.
func leaveSlip(d *pieceDraft, p *piece.Photo, from, instead string) {
	o, err := imageio.ParseOutline(from)
	if err != nil {
		return
	}
	p.SlipCorners = slices.DeleteFunc(slices.Clone(p.SlipCorners), func(given string) bool { return given == from })
	found := slices.ContainsFunc(d.Photos[p.Name].SlipsAt, func(at string) bool { return overlap(at, from) })
	c := o.Centre()
	at := fmt.Sprintf("%.0f,%.0f", c.X, c.Y)
	if found && !overlap(from, instead) && !slices.Contains(p.NotSlips, at) {
		p.NotSlips = append(p.NotSlips, at)
	}
}

// overlap reports whether the middle of one outline lies within the other. Nothing overlaps what is no outline.
func overlap(a, b string) bool {
	one, err := imageio.ParseOutline(a)
	if err != nil {
		return false
	}
	other, err := imageio.ParseOutline(b)
	return err == nil && (one.Contains(other.Centre()) || other.Contains(one.Centre()))
}

// noSlip says that what was found as a printed slip, or given as one, is none.
func noSlip(d *pieceDraft, f form) error {
	p, outline, err := f.slip(d)
	if err != nil {
		return err
	}
	if _, err := imageio.ParseOutline(outline); err != nil {
		return err
	}
	leaveSlip(d, p, outline, "")
	d.readAgain()
	return nil
}
