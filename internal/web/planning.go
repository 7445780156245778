package web

import (
	"context"
	"strconv"
	"strings"
	"time"

	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

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
	past, err := record.Recall(ctx, s.log, &piece, piece.Name)
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
	k := record.Keeper{Log: s.log, Piece: piece.Name, Program: s.program, Files: s.album}
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

// planAsked plans a piece as its page asks for it.
func (s *Server) planAsked(ctx context.Context, a asked) error { return s.plan(ctx, a.id) }

// cardOf gathers the card of a planned piece.
func (s *Server) cardOf(ctx context.Context, d *Draft, m *madePlan) (*report.Card, *workshop.Schedule, error) {
	result := *m.result
	result.Piece.Room, result.Piece.YearMade, result.Piece.OldFinish = d.Piece.Room, d.Piece.YearMade, d.Piece.OldFinish
	schedule, err := result.Schedule(time.Time{}, s.now())
	if err != nil {
		return nil, nil, err
	}
	card, err := report.NewCard(ctx, m.photos, &result, schedule, "huewright log show "+strconv.Quote(d.Piece.Name), s.now())
	return card, schedule, err
}
