package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

type homePage struct {
	Drafts  []draftView
	Demo    *draftView      // the demo's cabinet; nil where nobody has begun it
	Damaged []error         // drafts that cannot be read
	Logged  []logbook.Piece // that have no draft
}

// home lists the pieces.
func (s *Server) home(w http.ResponseWriter, r *http.Request) error {
	drafts, damaged, err := s.drafts.all()
	if err != nil {
		return err
	}
	logged, err := s.log.Pieces(r.Context())
	if err != nil {
		return err
	}
	logged = slices.DeleteFunc(logged, func(p logbook.Piece) bool { return draftNamed(drafts, p.Name) != nil })
	page := homePage{Damaged: damaged, Logged: logged}
	for _, d := range drafts {
		page.Drafts = append(page.Drafts, s.draftView(d))
	}
	page.Demo = s.demoView(r.Context())
	s.show(w, r, http.StatusOK, "home", page)
	return nil
}

// demoView is the demo in the list of all pieces; nil where nobody has begun it, or it cannot be opened.
func (s *Server) demoView(ctx context.Context) *draftView {
	d, leave, err := s.enterDemo(ctx, false)
	if err != nil || d == nil {
		return nil
	}
	defer leave()
	draft, err := d.drafts.load(demoID)
	if err != nil {
		return nil
	}
	v := d.draftView(draft)
	return &v
}

// A draftView is a piece in the list of all.
type draftView struct {
	*pieceDraft
	Thumb string // the photo that stands for it; "" for none
	Next  string // what comes next, in words
}

func (s *Server) draftView(d *pieceDraft) draftView {
	v := draftView{pieceDraft: d}
	if len(d.Piece.Photos) > 0 {
		v.Thumb = d.Piece.Photos[0].File
	}
	coats := 0
	for _, on := range d.On {
		coats += on.Coats
	}
	next := "answer"
	switch {
	case len(d.Piece.Photos) == 0:
		next = "photos"
	case len(d.Piece.Areas) == 0:
		next = "woods"
	case len(d.Piece.Coatings) == 0:
		next = "shelf"
	case coats > 0:
		next = "bench"
	}
	v.Next = speakerOf(d).Say(fault.Say("page.next", "what", next, "coats", coats))
	return v
}

// draftNamed is the draft of a piece, whatever the case of its name; nil for none.
func draftNamed(drafts []*pieceDraft, name string) *pieceDraft {
	for _, d := range drafts {
		if strings.EqualFold(d.Piece.Name, name) {
			return d
		}
	}
	return nil
}

// begin begins a piece, or shows the one of that name.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	name, err := f.required("name", "the name of the piece")
	if err != nil {
		return unprocessable(err)
	}
	drafts, _, err := s.drafts.all()
	if err != nil {
		return err
	}
	d := draftNamed(drafts, name)
	if d == nil {
		if d, err = s.newDraft(r.Context(), name); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
	return nil
}

func (s *Server) newDraft(ctx context.Context, name string) (*pieceDraft, error) {
	if err := s.log.Write(ctx, func(w *logbook.Writer) error { return w.BeginOnce(name) }); err != nil {
		return nil, err
	}
	d := &pieceDraft{ID: randomText(8), Piece: piece.Piece{Name: name}, Changed: s.now(), Did: "beginning"}
	return d, s.drafts.begin(d)
}

// beginWithPhotos begins a piece with its first photos; it is called after the day.
func (s *Server) beginWithPhotos(w http.ResponseWriter, r *http.Request) error {
	drafts, _, err := s.drafts.all()
	if err != nil {
		return err
	}
	logged, err := s.log.Pieces(r.Context())
	if err != nil {
		return err
	}
	taken := func(name string) bool {
		return draftNamed(drafts, name) != nil ||
			slices.ContainsFunc(logged, func(p logbook.Piece) bool { return strings.EqualFold(p.Name, name) })
	}
	day := s.now().Local().Format("piece of 2 January")
	name := day
	for n := 2; taken(name); n++ {
		name = fmt.Sprintf("%s, %d", day, n)
	}
	return s.takePhotos(w, r, func(ctx context.Context, sent []*sentPhoto) (string, error) {
		if err := s.admits(ctx, sent[0]); err != nil { // no piece is begun with what is no photo
			return "", unprocessable(err)
		}
		d, err := s.newDraft(ctx, name)
		if err != nil {
			return "", err
		}
		return d.ID, nil
	})
}

// draftOf finds the draft of a request.
func (s *Server) draftOf(r *http.Request) (*pieceDraft, error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if errors.Is(err, errNoDraft) {
		return nil, failed(http.StatusNotFound, err)
	}
	return d, err
}

// do does what a form of a piece's page asks for, and shows the piece again.
func (s *Server) do(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	id, st := r.PathValue("id"), stepNamed(f.text("do"))
	if st == nil {
		return unprocessable(fault.New(fault.Use, "page.no-step"))
	}
	var both *conflictError
	err = st.do(r.Context(), s, stepRequest{id: id, form: f, seen: r.URL.Query().Get("seen"), over: r.URL.Query().Get("over")})
	switch {
	case errors.As(err, &both):
		says, hint := s.speaker(r).Fault(err)
		again := r.URL.Query()
		again.Set("over", both.over)
		s.show(w, r, http.StatusConflict, "conflict", conflictPage{
			Problem: says, Hint: hint, Conflicts: both.all, Fields: f.Values, Back: backOf(r),
			Action: r.URL.Path + "?" + again.Encode(),
		})
		return nil
	case errors.Is(err, errChangedSince), errors.Is(err, errPageTooOld):
		return failed(http.StatusConflict, err)
	case errors.Is(err, errNoDraft):
		return failed(http.StatusNotFound, err)
	case err != nil:
		return unprocessable(err)
	}
	http.Redirect(w, r, "/piece/"+id+"/"+st.leadsTo(r.URL.Query(), f), http.StatusSeeOther)
	return nil
}

// A conflictPage lets somebody choose between what was set elsewhere and what they sent.
type conflictPage struct {
	Problem, Hint string
	Conflicts     []conflict
	Fields        url.Values // as they were sent
	Action, Back  string
}

type spotAnswer struct {
	Says    string `json:"says"`    // how good a sample it is
	Figures string `json:"figures"` // its colour
	Hex     string `json:"hex"`
	Problem string `json:"problem,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// tap takes the wood under a tap, and answers a script. Without a tap it gets the photo ready for one.
func (s *Server) tap(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	var answer tapAnswer
	if wood, err := s.takeWood(r, f); err != nil {
		answer.Problem, answer.Hint = s.speaker(r).Fault(err)
	} else if wood != nil {
		answer.spotAnswer = s.spotAnswerOf(r, &wood.SpotReading)
		answer.Outline, answer.Shown, answer.Path = wood.Outline, wood.Shown, pathOf(wood.Shown)
	}
	writeJSON(w, answer)
	return nil
}

type tapAnswer struct {
	spotAnswer
	Outline string `json:"outline,omitempty"` // to be measured
	Shown   string `json:"shown,omitempty"`   // all of it
	Path    string `json:"path,omitempty"`    // the same, to be drawn
}

// takeWood is the wood that a form taps; nil where it taps none.
func (s *Server) takeWood(r *http.Request, f form) (*workshop.TakenWood, error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return nil, err
	}
	defer release()
	if f.text("taps") == "" && f.text("what") != "carried" {
		return nil, s.woods.Ready(r.Context(), s.album, &d.Piece, f.text("photo"))
	}
	wood, err := s.takenBy(r.Context(), d, f)
	if p := d.photo(f.text("photo")); p != nil && wood != nil && err == nil {
		s.spots.keep(spotKeyOf(p, wood.Outline), wood.SpotReading)
	}
	return wood, err
}

// takenBy is what a form taps, in the turn that its request has.
func (s *Server) takenBy(ctx context.Context, d *pieceDraft, f form) (*workshop.TakenWood, error) {
	photo, taps := f.text("photo"), f.text("taps")
	switch f.text("what") {
	case "carried":
		a := d.area(f.text("name"))
		if a == nil {
			return nil, errNoArea
		}
		return s.woods.Carry(ctx, s.album, &d.Piece, a, photo)
	case "spot":
		return s.woods.Spot(ctx, s.album, &d.Piece, photo, taps)
	}
	return s.woods.Take(ctx, s.album, &d.Piece, photo, f.text("name"), taps)
}

func writeJSON(w http.ResponseWriter, answer any) {
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(answer) // whoever asked may be gone
}

// spotAnswerOf is what is said of a reading.
func (s *Server) spotAnswerOf(r *http.Request, spot *workshop.SpotReading) spotAnswer {
	says := s.speaker(r)
	answer := spotAnswer{
		Says:    strings.Join(says.Warnings(spot.Warnings), " "),
		Figures: report.Style{Speaker: says}.LabWords(spot.Lab, spot.PlusMinus), Hex: spot.Lab.Hex(),
	}
	if answer.Says == "" {
		answer.Says = says.Say(fault.Say("page.good-sample"))
	}
	return answer
}

// spot reads an outline that has just been drawn, and answers a script.
func (s *Server) spot(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	var answer spotAnswer
	if spot, err := s.readSpot(r, f); err != nil {
		answer.Problem, answer.Hint = s.speaker(r).Fault(err)
	} else {
		answer = s.spotAnswerOf(r, &spot)
	}
	writeJSON(w, answer)
	return nil
}

func (s *Server) readSpot(r *http.Request, f form) (spot workshop.SpotReading, err error) {
	d, err := s.drafts.load(r.PathValue("id"))
	if err != nil {
		return spot, err
	}
	release, err := s.acquire(r.Context())
	if err != nil {
		return spot, err
	}
	defer release()
	return workshop.ReadSpot(r.Context(), s.album, &d.Piece, f.text("photo"), f.text("outline"))
}
