package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"

	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

const (
	mostForm   = 1 << 20  // bytes of a form
	mostUpload = 64 << 20 // bytes of a photo, and what its form has beside it
)

type homePage struct {
	Drafts []*Draft
	Logged []workshop.LoggedPiece // that have no draft
}

func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	all, err := s.drafts.all()
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	pieces, err := s.log.Pieces(r.Context())
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	page := homePage{Drafts: all}
	for _, p := range pieces {
		drafted := false
		for _, d := range all {
			drafted = drafted || strings.EqualFold(d.Piece.Name, p.Name)
		}
		if !drafted {
			page.Logged = append(page.Logged, p)
		}
	}
	s.show(w, r, http.StatusOK, "home", page)
}

// begin begins a piece.
func (s *Server) begin(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	name, err := f.need("name", "the name of the piece")
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, err, "")
		return
	}
	all, err := s.drafts.all()
	if err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	for _, d := range all {
		if strings.EqualFold(d.Piece.Name, name) {
			http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
			return
		}
	}
	if err := s.log.Write(r.Context(), func(w *logbook.Writer) error { return w.BeginOnce(name) }); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	d := &Draft{ID: token(8), Piece: workshop.Piece{Name: name}, Changed: s.now(), Did: "beginning"}
	if err := s.drafts.begin(d); err != nil {
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return
	}
	http.Redirect(w, r, "/piece/"+d.ID, http.StatusSeeOther)
}

func readForm(w http.ResponseWriter, r *http.Request) (form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, mostForm)
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		err = r.ParseMultipartForm(mostForm)
	} else {
		err = r.ParseForm()
	}
	return form{r.PostForm}, err
}

// draftOf finds the draft of a request, or says that there is none.
func (s *Server) draftOf(w http.ResponseWriter, r *http.Request) *Draft {
	d, err := s.drafts.load(r.PathValue("id"))
	switch {
	case errors.Is(err, errNoDraft):
		s.fail(w, r, http.StatusNotFound, err, "go back to the pieces")
		return nil
	case err != nil:
		s.fail(w, r, http.StatusInternalServerError, err, "")
		return nil
	}
	return d
}

func (s *Server) piece(w http.ResponseWriter, r *http.Request) {
	if d := s.draftOf(w, r); d != nil {
		m, _ := s.planned(r.Context(), d) // where that fails there is still the piece, to be planned again
		s.show(w, r, http.StatusOK, "piece", s.pieceView(r.Context(), d, m))
	}
}

// do does what a form of a piece's page asks for, and shows the piece again.
func (s *Server) do(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	id, what := r.PathValue("id"), f.text("do")
	switch change := steps[what]; {
	case change != nil:
		err = s.change(r.Context(), id, f, change)
		if err == nil && what == "laid" {
			err = s.plan(r.Context(), id)
		}
	case what == "plan":
		err = s.plan(r.Context(), id)
	case what == "check":
		err = s.check(r.Context(), id, f.text("name"))
	case what == "undo":
		_, err = s.drafts.undo(id)
	case what == "note":
		err = s.note(r.Context(), id, f)
	default:
		err = &wrong{"there is nothing of that kind to do", "go back and choose it again"}
	}
	if err != nil {
		status := http.StatusUnprocessableEntity
		if errors.Is(err, errNoDraft) {
			status = http.StatusNotFound
		}
		s.fail(w, r, status, err, "")
		return
	}
	http.Redirect(w, r, "/piece/"+id+"#"+anchors[what], http.StatusSeeOther)
}

// anchors are where on the page what was done is seen.
var anchors = map[string]string{
	"piece": "piece", "reference": "reference", "slip": "reference", "paper": "reference", "tie": "reference", "area": "areas", "also": "areas", "target": "areas",
	"coating": "coatings", "test": "coatings", "clear": "coatings", "room": "plan", "plan": "plan", "laid": "bench", "repair": "repairs", "check": "repairs", "note": "card", "remove": "", "undo": "",
}

// change changes a draft, makes sure that the piece still makes sense, and reads the areas that have
// no reading yet.
func (s *Server) change(ctx context.Context, id string, f form, change step) error {
	did := ""
	_, err := s.drafts.change(id, "", s.now(), func(d *Draft) (err error) {
		if did, err = change(d, f); err != nil {
			return err
		}
		d.Did = did
		if err := d.Piece.ValidateWithin(s.album.Limits); err != nil {
			return plainFault(err)
		}
		return s.readAreas(ctx, d)
	})
	return err
}

// plainFault is a fault of a piece without the place in a file, which there is none of here.
func plainFault(err error) error {
	fault := (*workshop.PieceError)(nil)
	if errors.As(err, &fault) {
		return &wrong{fault.Problem, fault.Advice}
	}
	return err
}

// readAreas reads the areas that have no reading yet.
func (s *Server) readAreas(ctx context.Context, d *Draft) error {
	for i := range d.Piece.Areas {
		a := &d.Piece.Areas[i]
		if _, known := d.Read[a.Name]; known {
			continue
		}
		done, err := s.turn(ctx)
		if err != nil {
			return err
		}
		spot, err := workshop.ReadSpot(ctx, s.album, &d.Piece, a.Photo, a.Outline)
		done()
		if err != nil {
			return fmt.Errorf("%s: %w", a.Name, err)
		}
		d.Read[a.Name] = spot
	}
	return nil
}

// addPhoto takes in photos.
func (s *Server) addPhoto(w http.ResponseWriter, r *http.Request) {
	id := r.PathValue("id")
	if s.draftOf(w, r) == nil {
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, mostUpload)
	parts, err := r.MultipartReader()
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, &wrong{"no photo came along", "choose one, then send it again"}, "")
		return
	}
	added := 0
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, err, "send it again")
			return
		}
		if part.FormName() != "photo" || part.FileName() == "" {
			continue
		}
		data, err := io.ReadAll(part)
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, err, "send it again")
			return
		}
		if err := s.takeIn(r.Context(), id, part.FileName(), data); err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, err, "")
			return
		}
		added++
	}
	if added == 0 {
		s.fail(w, r, http.StatusBadRequest, &wrong{"no photo came along", "choose one, then send it again"}, "")
		return
	}
	http.Redirect(w, r, "/piece/"+id+"#photos", http.StatusSeeOther)
}

// takeIn keeps one photo, studies it and adds it to the piece.
func (s *Server) takeIn(ctx context.Context, id, file string, data []byte) error {
	hash, err := s.looked(ctx, file, data)
	if err != nil {
		return err
	}
	look, err := s.album.Look(ctx, hash)
	if err != nil {
		return err
	}
	d, err := s.drafts.change(id, "adding a photo", s.now(), func(d *Draft) error {
		for _, p := range d.Piece.Photos {
			if p.File == hash {
				return nil // it came twice
			}
		}
		p := workshop.PiecePhoto{Name: d.freeName(filepath.Base(file)), File: hash, Reference: "none"}
		if look.Chart != "" {
			p.Reference, p.Corners = "chart", look.Chart
		}
		d.Piece.Photos = append(d.Piece.Photos, p)
		d.Photos[p.Name] = look
		return nil
	})
	if err != nil {
		return err
	}
	k := workshop.Keeper{Log: s.log, Piece: d.Piece.Name, Program: s.program, Files: s.album}
	_, err = k.KeepPhotos(ctx, []string{hash}, "")
	return err
}

// looked makes sure that bytes are a photo that can be read, one at a time, and keeps them.
func (s *Server) looked(ctx context.Context, file string, data []byte) (hash string, err error) {
	done, err := s.turn(ctx)
	if err != nil {
		return "", err
	}
	defer done()
	if err := s.album.Admit(ctx, data, file); err != nil {
		return "", err
	}
	err = s.log.Write(ctx, func(w *logbook.Writer) error {
		hash, err = w.KeepPhoto(data, logbook.PhotoFacts{Name: file})
		return err
	})
	return hash, err
}

type spotAnswer struct {
	Says    string `json:"says"`
	Hex     string `json:"hex"`
	Problem string `json:"problem,omitempty"`
	Hint    string `json:"hint,omitempty"`
}

// spot reads an outline that has just been drawn.
func (s *Server) spot(w http.ResponseWriter, r *http.Request) {
	f, err := readForm(w, r)
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, err, "")
		return
	}
	d, err := s.drafts.load(r.PathValue("id"))
	var answer spotAnswer
	var spot workshop.SpotReading
	if err == nil {
		var done func()
		if done, err = s.turn(r.Context()); err == nil {
			spot, err = workshop.ReadSpot(r.Context(), s.album, &d.Piece, f.text("photo"), f.text("outline"))
			done()
		}
	}
	if err != nil {
		answer.Problem = err.Error()
		var hinted interface{ Hint() string }
		if errors.As(err, &hinted) {
			answer.Hint = hinted.Hint()
		}
	} else {
		answer.Says, answer.Hex = report.LabWords(spot.Lab, spot.PlusMinus), report.HexOf(spot.Lab)
		if len(spot.Warnings) > 0 {
			answer.Hint = strings.Join(spot.Warnings, "; ")
		}
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(answer) // whoever asked may be gone
}

// plan plans a piece, and keeps the plan in the log.
func (s *Server) plan(ctx context.Context, id string) error {
	d, err := s.drafts.load(id)
	if err != nil {
		return err
	}
	if s.plans.of(&d.Piece) != nil {
		return nil
	}
	done, err := s.turn(ctx)
	if err != nil {
		return err
	}
	defer done()
	if s.plans.of(&d.Piece) != nil {
		return nil // somebody else was waiting for the same
	}
	piece := d.Piece
	past, err := workshop.Recall(ctx, s.log, &piece, piece.Name)
	if err != nil {
		return err
	}
	req := workshop.PlanRequest{Piece: piece, Past: past}
	made, err := s.makePlan(ctx, req)
	if err != nil {
		return err
	}
	var answer strings.Builder
	if err := report.PlanJSON(&answer, made.result); err != nil {
		return err
	}
	k := workshop.Keeper{Log: s.log, Piece: piece.Name, Program: s.program, Files: s.album}
	if _, err := k.KeepPlan(ctx, req, made.result, []byte(answer.String())); err != nil {
		return err
	}
	s.plans.keep(made)
	return nil
}

// makePlan makes a plan, and keeps its photos open for pictures.
func (s *Server) makePlan(ctx context.Context, req workshop.PlanRequest) (*madePlan, error) {
	m := &madePlan{of: keyOf(&req.Piece), request: req}
	var err error
	if m.photos, err = workshop.OpenPhotos(ctx, s.album, &m.request.Piece); err != nil {
		return nil, err
	}
	if m.result, err = workshop.PlanFrom(ctx, m.photos, req.Past); err != nil {
		return nil, err
	}
	m.preview = workshop.NewPreview(m.photos, m.result, workshop.PreviewOptions{Width: 1200, Clear: true})
	return m, nil
}

// planned is the plan of a piece as it now is, made again where it was made but had to go; nil where
// it was not.
func (s *Server) planned(ctx context.Context, d *Draft) (*madePlan, error) {
	if m := s.plans.of(&d.Piece); m != nil {
		return m, nil
	}
	req, ok := s.plans.request(&d.Piece)
	if !ok {
		return nil, nil
	}
	done, err := s.turn(ctx)
	if err != nil {
		return nil, err
	}
	defer done()
	if m := s.plans.of(&d.Piece); m != nil {
		return m, nil // somebody else was waiting for the same
	}
	m, err := s.makePlan(ctx, req)
	if err != nil {
		return nil, err
	}
	s.plans.keep(m)
	return m, nil
}

// check judges a repair, and keeps what was found in the log.
func (s *Server) check(ctx context.Context, id, name string) error {
	d, err := s.drafts.load(id)
	if err != nil {
		return err
	}
	done, err := s.turn(ctx)
	if err != nil {
		return err
	}
	req, result, err := workshop.CheckRepair(ctx, s.album, &d.Piece, name)
	done()
	if err != nil {
		return err
	}
	var answer strings.Builder
	if err := report.CheckJSON(&answer, result); err != nil {
		return err
	}
	k := workshop.Keeper{Log: s.log, Piece: d.Piece.Name, Program: s.program, Files: s.album}
	if _, err := k.KeepCheck(ctx, name, req, result, []byte(answer.String())); err != nil {
		return err
	}
	_, err = s.drafts.change(id, "checking "+name, s.now(), func(d *Draft) error {
		if d.Checks == nil {
			d.Checks = map[string]RepairSays{}
		}
		says := RepairSays{Verdict: string(result.Verdict), Of100: result.Near.Rank.Of100, DeltaE: result.Near.Colour, Why: result.Why, Advice: result.Advice}
		for _, far := range result.Far {
			says.Far = append(says.Far, fmt.Sprintf("from %.1f m: %s", far.Distance/1000, map[bool]string{true: "seen", false: "not seen"}[far.Seen]))
		}
		says.Warnings = result.Warnings
		d.Checks[name] = says
		return nil
	})
	return err
}

// note adds a note to the log.
func (s *Server) note(ctx context.Context, id string, f form) error {
	d, err := s.drafts.load(id)
	if err != nil {
		return err
	}
	return s.log.Write(ctx, func(w *logbook.Writer) error {
		if err := w.BeginOnce(d.Piece.Name); err != nil {
			return err
		}
		_, err := w.Add(logbook.Entry{Piece: d.Piece.Name, Area: f.text("area"), Note: strings.TrimSpace(f.Get("note"))})
		return err
	})
}
