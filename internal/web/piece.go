package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"huewright/internal/logbook"
	"huewright/internal/workshop"
)

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
	id, st := r.PathValue("id"), stepNamed(f.text("do"))
	if st == nil {
		s.fail(w, r, http.StatusUnprocessableEntity, &wrong{"there is nothing of that kind to do", "go back and choose it again"}, "")
		return
	}
	if err := st.do(r.Context(), s, id, f); err != nil {
		status := http.StatusUnprocessableEntity
		if errors.Is(err, errNoDraft) {
			status = http.StatusNotFound
		}
		s.fail(w, r, status, err, "")
		return
	}
	http.Redirect(w, r, "/piece/"+id+"#"+st.at, http.StatusSeeOther)
}

// change changes a draft by a step, makes sure that the piece still makes sense, and reads the areas that have
// no reading yet.
func (s *Server) change(ctx context.Context, id string, f form, st *step) error {
	_, err := s.drafts.change(id, st.says(f), s.now(), func(d *Draft) error {
		if err := st.change(d, f); err != nil {
			return err
		}
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

// undo takes the last step of a draft back.
func (s *Server) undo(_ context.Context, a asked) error {
	_, err := s.drafts.undo(a.id)
	return err
}

// note adds a note to the log.
func (s *Server) note(ctx context.Context, a asked) error {
	d, err := s.drafts.load(a.id)
	if err != nil {
		return err
	}
	return s.log.Write(ctx, func(w *logbook.Writer) error {
		if err := w.BeginOnce(d.Piece.Name); err != nil {
			return err
		}
		_, err := w.Add(logbook.Entry{Piece: d.Piece.Name, Area: a.form.text("area"), Note: strings.TrimSpace(a.form.Get("note"))})
		return err
	})
}
