package web

import (
	"bytes"
	"context"
	"strconv"
	"time"

	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/report/card"
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
	release, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	defer release()
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
	var answer bytes.Buffer
	if err := report.PlanJSON(&answer, made.result); err != nil {
		return err
	}
	if _, err := s.keeper(piece.Name).KeepPlan(ctx, req, made.result, answer.Bytes()); err != nil {
		return err
	}
	s.plans.add(made)
	return nil
}

// makePlan makes a plan, and keeps its photos open for pictures.
func (s *Server) makePlan(ctx context.Context, req workshop.PlanRequest) (*cachedPlan, error) {
	m := &cachedPlan{key: keyOf(&req.Piece), request: req}
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
func (s *Server) planned(ctx context.Context, d *pieceDraft) (*cachedPlan, error) {
	if m := s.plans.of(&d.Piece); m != nil {
		return m, nil
	}
	req, ok := s.plans.request(&d.Piece)
	if !ok {
		return nil, nil
	}
	release, err := s.acquire(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	if m := s.plans.of(&d.Piece); m != nil {
		return m, nil // somebody else was waiting for the same
	}
	m, err := s.makePlan(ctx, req)
	if err != nil {
		return nil, err
	}
	s.plans.add(m)
	return m, nil
}

// planAsked plans a piece as its page asks for it.
func (s *Server) planAsked(ctx context.Context, a stepRequest) error { return s.plan(ctx, a.id) }

// cardOf gathers the card of a planned piece.
func (s *Server) cardOf(ctx context.Context, d *pieceDraft, m *cachedPlan) (*card.Sheet, *workshop.Schedule, error) {
	result := *m.result
	result.Piece.Room, result.Piece.YearMade, result.Piece.OldFinish = d.Piece.Room, d.Piece.YearMade, d.Piece.OldFinish
	schedule, err := result.Schedule(time.Time{}, s.now())
	if err != nil {
		return nil, nil, err
	}
	sheet, err := report.NewCard(ctx, m.photos, &result, schedule, "huewright log show "+strconv.Quote(d.Piece.Name), s.now())
	return sheet, schedule, err
}
