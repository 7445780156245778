package web

import (
	"net/http"
	"slices"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A fitAnswer says how good a photo is to measure from by what is marked in it.
type fitAnswer struct {
	Says    string `json:"says"`
	Problem string `json:"problem,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// fit says how well a chart or a slip of paper would do where somebody has dragged it to, and answers a script.
func (s *Server) fit(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	var answer fitAnswer
	if line, err := s.fitOf(r, f); err != nil {
		if f := fault.Of(err); f != nil {
			here := *f
			here.Place = fault.Place{} // the photo is in sight
			err = &here
		}
		answer.Problem, answer.Hint = s.speaker(r).Fault(err)
	} else {
		answer.Says = s.speaker(r).Say(line)
	}
	writeJSON(w, answer)
	return nil
}

// fitOf is the line about a photo with the reference that a form marks.
func (s *Server) fitOf(r *http.Request, f form) (line fault.Note, err error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if err != nil {
		return line, err
	}
	was := d.photo(f.text("photo"))
	if was == nil {
		return line, errNoPhoto
	}
	p := piece.Photo{Name: was.Name, File: was.File}
	outline, err := f.outline("outline", "where it is")
	switch {
	case err != nil:
		return line, err
	case f.text("what") == "slip":
		found, err := s.readSlip(r.Context(), d, p.Name, f.text("from"), outline)
		return fault.Say("slip.reads", "slip", found.Number), err
	case f.text("what") == "chart":
		p.Reference, p.Corners = "chart", outline
	default:
		p.Reference, p.Grey, p.GreyLightness = "grey", outline, paperLightness
	}
	ref, err := p.ReadReference()
	if err != nil {
		return line, err
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return line, err
	}
	defer release()
	result, err := workshop.Calibrate(r.Context(), s.album, workshop.MeasureRequest{Photo: p.File, Reference: ref})
	if err != nil {
		return line, err
	}
	v := result.Calibration.Verdict()
	return fault.Say("verdict.line", "answer", v.Answer, "why", v.Why), nil
}

// moveSlip puts a slip of paper that was found where it is, wherever it is named.
func moveSlip(d *pieceDraft, f form) error {
	p := d.photo(f.text("photo"))
	if p == nil {
		return errNoPhoto
	}
	from, err := f.outline("from", "the slip")
	if err != nil {
		return err
	}
	to, err := f.outline("outline", "where the slip is")
	if err != nil {
		return err
	}
	o, err := imageio.ParseOutline(to)
	if err != nil {
		return err
	}
	for i := range p.Neutrals {
		if p.Neutrals[i] == from {
			p.Neutrals[i] = to
		}
	}
	if p.Grey == from {
		p.Grey = to
	}
	for _, t := range d.Piece.Ties {
		if t.In[p.Name] == from {
			t.In[p.Name] = to
		}
	}
	if d.Slips[p.Name] == from {
		d.Slips[p.Name] = to
	}
	if look, seen := d.Photos[p.Name]; seen {
		look.Papers = slices.Clone(look.Papers)
		for i := range look.Papers {
			if look.Papers[i].Outline == from {
				look.Papers[i] = paperAt(to, o)
			}
		}
		d.Photos[p.Name] = look
	}
	d.readAgain()
	return nil
}

// paperAt is how a slip of paper looks on its photo.
func paperAt(text string, o imageio.Outline) workshop.PaperLook {
	look := workshop.PaperLook{Outline: text}
	var corners []string
	for i, c := range o.Points {
		corners = append(corners, short(c.X)+","+short(c.Y))
		if i == 0 || int(c.Y) < look.TopY {
			look.TopX, look.TopY = int(c.X), int(c.Y)
		}
	}
	look.Corners = strings.Join(corners, " ")
	return look
}
