package web

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"huewright/internal/logbook"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// asked is what is asked for: of which draft, with which form, and what that is called.
type asked struct {
	id   string
	form form
	did  string
}

// change changes a draft, makes sure that the piece still makes sense, and reads the areas that have
// no reading yet.
func (s *Server) change(ctx context.Context, a asked, change func(*Draft, form) error) error {
	_, err := s.drafts.change(a.id, a.did, s.now(), func(d *Draft) error {
		if err := change(d, a.form); err != nil {
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
	fault := (*piece.Error)(nil)
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
