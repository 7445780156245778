package web

import (
	"maps"
	"slices"

	"huewright/internal/piece"
)

// setReference says what in a photo has a known colour; nothing, where no kind is given.
func setReference(d *pieceDraft, f form) error {
	p := d.photo(f.text("photo"))
	if p == nil {
		return errNoPhoto
	}
	p.Reference, p.Corners, p.Grey, p.GreyLightness = "none", "", "", 0
	switch f.text("kind") {
	case "chart":
		corners, err := f.outline("corners", "the chart's corners")
		if err != nil {
			return err
		}
		p.Reference, p.Corners = "chart", corners
	case "paper", "grey card":
		outline, err := f.outline("outline", "the outline of the paper or card")
		if err != nil {
			return err
		}
		p.Reference, p.Grey, p.GreyLightness = "grey", outline, paperLightness
		if f.text("kind") == "grey card" {
			p.GreyLightness = 50
		}
	}
	d.readAgain()
	return nil
}

// paperLightness is the L* that white printer paper is taken for, as in a piece file.
const paperLightness = 94

// addSlip adds a slip of one paper to a photo, against uneven light.
func addSlip(d *pieceDraft, f form) error {
	p, outline, err := f.slip(d)
	if err != nil {
		return err
	}
	p.Neutrals = append(p.Neutrals, outline)
	d.readAgain()
	return nil
}

// agreePaper agrees that something is a slip of white paper. In a photo without a reference the first one
// is that; the others tell of the light; and the first in each of several photos ties them.
func agreePaper(d *pieceDraft, f form) error {
	p, outline, err := f.slip(d)
	if err != nil {
		return err
	}
	if !slices.Contains(p.Neutrals, outline) {
		p.Neutrals = append(p.Neutrals, outline)
	}
	if p.Reference == "none" && p.Corners == "" && p.Grey == "" {
		p.Reference, p.Grey, p.GreyLightness = "grey", outline, paperLightness
	}
	i := slices.IndexFunc(d.Piece.Ties, func(t piece.Tie) bool { return t.Name == slipOfPaper })
	if i < 0 {
		d.Slips = orNew(d.Slips)
		if d.Slips[p.Name] == "" {
			d.Slips[p.Name] = outline
		}
		if len(d.Slips) > 1 {
			d.Piece.Ties = append(d.Piece.Ties, piece.Tie{Name: slipOfPaper, In: maps.Clone(d.Slips)})
		}
	} else if d.Piece.Ties[i].In[p.Name] == "" {
		d.Piece.Ties[i].In[p.Name] = outline
	}
	d.readAgain()
	return nil
}

// addTie says where in a photo something is that stays the same from photo to photo.
func addTie(d *pieceDraft, f form) error {
	name, err := f.required("name", "the name of what stays the same")
	if err != nil {
		return err
	}
	outline, err := f.outline("outline", "its outline")
	if err != nil {
		return err
	}
	photo := f.text("photo")
	if d.photo(photo) == nil {
		return errNoPhoto
	}
	i := slices.IndexFunc(d.Piece.Ties, func(t piece.Tie) bool { return t.Name == name })
	if i < 0 {
		d.Piece.Ties = append(d.Piece.Ties, piece.Tie{Name: name, In: map[string]string{}})
		i = len(d.Piece.Ties) - 1
	}
	d.Piece.Ties[i].In[photo] = outline
	return nil
}

// slip is the photo that a slip of paper is in, and where.
func (f form) slip(d *pieceDraft) (*piece.Photo, string, error) {
	p := d.photo(f.text("photo"))
	if p == nil {
		return nil, "", errNoPhoto
	}
	outline, err := f.outline("outline", "the outline of the slip")
	return p, outline, err
}

// slipOfPaper is what the tie is called that agreed slips make.
const slipOfPaper = "slip of paper"

func orNew(m map[string]string) map[string]string {
	if m == nil {
		return map[string]string{}
	}
	return m
}
