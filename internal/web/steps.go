package web

import (
	"context"
	"fmt"
	"net/url"
	"strings"

	"huewright/internal/fault"
	"huewright/internal/workshop"
)

// A step is something that a form of a piece's page may ask for: all that is known of it.
type step struct {
	name string // what the form's field "do" says

	// The names of the fields that it sees, apart by spaces; whatever else a form brings is left out.
	needs   string // refused without
	takes   string // may be left out
	colours string // prefixes of fields that say where a colour comes from: see form.source

	// What it does: change changes the piece and nothing else, and is kept as a draft; act does all else.
	change func(d *pieceDraft, f form) error
	act    func(s *Server, ctx context.Context, a stepRequest) error
	replan bool // the piece is planned again after it

	did  string // what it is called where it is undone, with fields in braces; change may put it otherwise
	at   string // the screen on which what was done is seen; "" for the one that it was asked on
	with string // names of fields that the address of that screen keeps
}

// steps are all that a piece's page may ask for, in the order of the page. A further step is added here.
var steps = []step{
	{name: "remove", needs: "what name", change: remove, did: "taking away {what} {name}"},
	{
		name: "reference", needs: "photo", takes: "kind corners outline",
		change: setReference, did: "the reference of photo {photo}", at: "light", with: "photo",
	},
	{name: "slip", needs: "photo outline", change: addSlip, did: "a slip of paper in photo {photo}", at: "light", with: "photo"},
	{name: "paper", needs: "photo outline", change: agreePaper, did: "a slip of paper in photo {photo}", at: "light", with: "photo"},
	{name: "no-slip", needs: "photo outline", change: noSlip, did: "what is no slip in photo {photo}", at: "light", with: "photo"},
	{
		name: "printed", needs: "photo corners", takes: "from",
		act: (*Server).giveSlip, did: "where a printed slip is in photo {photo}", at: "light", with: "photo",
	},
	{name: "move", needs: "photo from outline", change: moveSlip, did: "where a slip of paper is in photo {photo}", at: "light",
		with: "photo"},
	{name: "tie", needs: "name photo outline", change: addTie, did: "{name} in photo {photo}", at: "light", with: "photo"},
	{
		name: "area", needs: "name outline", takes: "photo shown part-of wood surface size", change: setArea,
		did: "the area {name}", at: "woods", with: "photo",
	},
	{name: "also", needs: "area outline", takes: "photo", change: addToArea, did: "the area {area} in photo {photo}", at: "outlines"},
	{name: "target", colours: "target", change: setTarget, did: "the target", at: "shelf"},
	{
		name: "coating", needs: "name", takes: "kind family put-on batch paint thinner recoat-after part-1 parts-1 part-2 parts-2 part-3 " +
			"parts-3 weighed", colours: "chip",
		change: setCoating, did: "the coating {name}", at: "shelf",
	},
	{
		name: "test", needs: "coating", takes: "coats", colours: "ground result",
		change: addTest, did: "a test coat of {coating}", at: "test", with: "coating",
	},
	{name: "clear", takes: "name family coats", change: setClear, did: "the clear coat", at: "shelf"},
	{
		name: "room", takes: "start opens closes indoors children temperature humidity",
		change: setRoom, did: "the room", at: "room",
	},
	{
		name: "piece", takes: "year country old-finish hours tolerance units",
		change: describePiece, did: "what is said of the piece", at: "room",
	},
	{name: "plan", act: (*Server).planAsked, at: "answer"},
	{name: "choose", takes: "coats", change: chooseAnother, replan: true, did: "choosing another plan", at: "answer"},
	{name: "on", needs: "area coating", takes: "temperature", change: putOn, did: "a coat on {area}", at: "bench", with: "area"},
	{
		name: "laid", needs: "area", takes: "coating coats", colours: "after",
		change: addLaid, replan: true, did: "how {area} looks under its coats", at: "bench", with: "area",
	},
	{name: "tick", needs: "step what", takes: "done", change: tick, did: "the tick at: {what}", at: "bench"},
	{name: "repair", needs: "name outline", takes: "photo", change: setRepair, did: "the repair {name}", at: "repairs"},
	{name: "check", needs: "name", act: (*Server).check, did: "checking {name}", at: "repairs"},
	{name: "note", needs: "note", takes: "area", act: (*Server).note, at: "papers"},
	{name: "undo", act: (*Server).undo},
}

// stepNamed is the step of a name; nil where there is none.
func stepNamed(name string) *step {
	return first(steps, func(st *step) bool { return st.name == name })
}

// fields are the names of all the fields that a step sees.
func (st *step) fields() []string {
	all := append(strings.Fields(st.needs), strings.Fields(st.takes)...)
	for _, prefix := range strings.Fields(st.colours) {
		for _, part := range sourceFields {
			all = append(all, prefix+part)
		}
	}
	return all
}

// leadsTo is the screen that comes after a step: the one that its button names, its own, or the one that it was asked on.
func (st *step) leadsTo(asked url.Values, f form) string {
	if to := screenNamed(asked.Get("to")); to != nil {
		return to.name
	}
	at := st.at
	if at == "" {
		at = "photos"
		if from := screenNamed(asked.Get("from")); from != nil {
			at = from.name
		}
	}
	kept := url.Values{}
	for _, field := range strings.Fields(st.with) {
		if v := f.text(field); v != "" {
			kept.Set(field, v)
		}
	}
	if len(kept) == 0 {
		return at
	}
	return at + "?" + kept.Encode()
}

// says is what a step is called, done with a form.
func (st *step) says(f form) string {
	var pairs []string
	for _, field := range st.fields() {
		pairs = append(pairs, "{"+field+"}", f.text(field))
	}
	return strings.NewReplacer(pairs...).Replace(st.did)
}

// do does a step of a draft.
func (st *step) do(ctx context.Context, s *Server, a stepRequest) error {
	a.form = a.form.only(st.fields())
	a.did = st.says(a.form)
	if st.act != nil {
		return st.act(s, ctx, a)
	}
	if err := s.change(ctx, a, st.change); err != nil || !st.replan {
		return err
	}
	return s.plan(ctx, a.id)
}

// change changes a draft, checks the piece, and reads the areas that have no reading yet.
func (s *Server) change(ctx context.Context, a stepRequest, change func(*pieceDraft, form) error) error {
	_, err := s.drafts.change(a.id, a.did, s.now(), func(d *pieceDraft) error {
		if err := s.changeSeen(d, a, change); err != nil {
			return err
		}
		if err := d.Piece.ValidateWithin(s.album.Limits); err != nil {
			return err
		}
		return s.readAll(ctx, d)
	})
	return err
}

// changeSeen changes a draft as its page asked for it: on what that page showed, and then as a merge into what the draft
// has become.
func (s *Server) changeSeen(d *pieceDraft, a stepRequest, change func(*pieceDraft, form) error) error {
	if a.seen == "" || a.seen == d.key {
		return change(d, a.form)
	}
	base, mine := s.drafts.at(a.id, a.seen), s.drafts.at(a.id, a.seen)
	if base == nil || mine == nil {
		return errPageTooOld
	}
	mine.Did, mine.Changed = a.did, d.Changed
	if err := change(mine, a.form); err != nil {
		return err
	}
	merged, conflicts := mergeDrafts(base, mine, d, a.over == d.key)
	if len(conflicts) > 0 && a.over != d.key {
		return &conflictError{conflicts, d.key}
	}
	*d = *merged
	return nil
}

// errPageTooOld reports a form of a page of which is not known any more what it showed.
var errPageTooOld = fault.New(fault.Use, "page.page-too-old")

// readAll reads the areas and the chips on photos that have no reading yet.
func (s *Server) readAll(ctx context.Context, d *pieceDraft) error {
	for i := range d.Piece.Areas {
		a := &d.Piece.Areas[i]
		if _, known := d.Read[a.Name]; known || a.Outline == "" {
			continue
		}
		spot, err := s.readAt(ctx, d, a.Photo, a.Outline)
		if err != nil {
			return fmt.Errorf("%s: %w", a.Name, err)
		}
		d.Read[a.Name] = spot
	}
	chips := map[string]workshop.SpotReading{}
	for i := range d.Piece.Coatings {
		chip := d.Piece.Coatings[i].Chip
		if chip == nil || chip.Outline == "" {
			continue
		}
		key := chipKey(chip)
		spot, known := d.Chips[key]
		if !known {
			var err error
			if spot, err = s.readAt(ctx, d, chip.Photo, chip.Outline); err != nil {
				return fmt.Errorf("%s: %w", d.Piece.Coatings[i].Name, err)
			}
		}
		chips[key] = spot
	}
	d.Chips = chips
	return nil
}

// readAt reads an outline, in its turn, unless it has been read.
func (s *Server) readAt(ctx context.Context, d *pieceDraft, photo, outline string) (workshop.SpotReading, error) {
	p := d.photo(photo)
	if p != nil {
		if r, known := s.spots.of(spotKeyOf(p, outline)); known {
			return r, nil
		}
	}
	release, err := s.acquire(ctx)
	if err != nil {
		return workshop.SpotReading{}, err
	}
	defer release()
	r, err := workshop.ReadSpot(ctx, s.album, &d.Piece, photo, outline)
	if err == nil {
		s.spots.keep(spotKeyOf(p, outline), r)
	}
	return r, err
}
