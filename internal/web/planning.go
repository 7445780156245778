package web

import (
	"bytes"
	"context"
	"encoding/json"
	"strconv"
	"time"

	"huewright/internal/fault"
	"huewright/internal/record"
	"huewright/internal/report"
	"huewright/internal/report/card"
	"huewright/internal/report/clientpage"
	"huewright/internal/workshop"
)

// plan plans a piece, and keeps the plan in the log.
func (s *Server) plan(ctx context.Context, id string) error {
	d, err := s.drafts.load(id)
	if err != nil {
		return err
	}
	req, err := s.planRequest(ctx, d)
	if err != nil {
		return err
	}
	key := planKeyOf(&req)
	if s.plans.of(key) != nil {
		return nil
	}
	release, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	defer release()
	if s.plans.of(key) != nil {
		return nil // somebody else was waiting for the same
	}
	made, err := s.makePlan(ctx, req)
	if err != nil {
		return err
	}
	var answer bytes.Buffer
	if err := report.PlanJSON(&answer, made.result); err != nil {
		return err
	}
	if _, err := s.keeper(d.Piece.Name).KeepPlan(ctx, req, made.result, answer.Bytes()); err != nil {
		return err
	}
	s.plans.add(made)
	return nil
}

// planRequest is what a plan of a piece as it now is stands on.
func (s *Server) planRequest(ctx context.Context, d *pieceDraft) (workshop.PlanRequest, error) {
	req := workshop.PlanRequest{Piece: d.Piece, Chosen: d.Choice}
	var err error
	req.Past, err = record.Recall(ctx, s.log, &req.Piece, req.Piece.Name)
	return req, err
}

// makePlan makes a plan, and keeps its photos open for pictures. Where only another plan is chosen, it stands on what that was made from.
func (s *Server) makePlan(ctx context.Context, req workshop.PlanRequest) (*cachedPlan, error) {
	m := &cachedPlan{key: planKeyOf(&req), request: req}
	var err error
	if like := s.plans.like(m.key); like != nil {
		m.photos = like.photos
		if m.result, err = like.result.Rechoose(ctx, &req); err != nil {
			return nil, err
		}
		m.preview = newPreview(m)
		return m, nil
	}
	if m.photos, err = workshop.OpenPhotos(ctx, s.album, &m.request.Piece); err != nil {
		return nil, err
	}
	if m.result, err = workshop.PlanFrom(ctx, m.photos, &req); err != nil {
		return nil, err
	}
	m.preview = newPreview(m)
	return m, nil
}

func newPreview(m *cachedPlan) *workshop.Preview {
	return workshop.NewPreview(m.photos, m.result, workshop.PreviewOptions{Width: 1600, Clear: true})
}

// chooseAnother takes another of the plans that were put forward; the suggested one, where nothing is said of coats.
func chooseAnother(d *pieceDraft, f form) error {
	d.Choice = nil
	text := f.Get("coats")
	if text == "" {
		d.Did = "taking the suggested plan"
		return nil
	}
	var chosen []workshop.ChosenCoats
	if err := json.Unmarshal([]byte(text), &chosen); err != nil || len(chosen) != len(d.Piece.Areas) {
		return fault.New(fault.Use, "page.no-step")
	}
	for i := range chosen {
		if chosen[i].Area != d.Piece.Areas[i].Name {
			return fault.New(fault.Use, "page.no-step")
		}
	}
	d.Choice = chosen
	return nil
}

// planAsked plans a piece as its page asks for it.
func (s *Server) planAsked(ctx context.Context, a stepRequest) error { return s.plan(ctx, a.id) }

// scheduled is a planned piece with what does not bear on its counts as it now is, and its schedule.
func (s *Server) scheduled(d *pieceDraft, m *shownPlan) (*workshop.PlanResult, *workshop.Schedule, error) {
	result := *m.result
	result.Piece.Room, result.Piece.YearMade, result.Piece.OldFinish = d.Piece.Room, d.Piece.YearMade, d.Piece.OldFinish
	result.Piece.Country, result.Piece.Hours = d.Piece.Country, d.Piece.Hours
	schedule, err := result.Schedule(time.Time{}, s.now())
	return &result, schedule, err
}

// clientPageOf gathers the page for the owner of a planned piece.
func (s *Server) clientPageOf(ctx context.Context, d *pieceDraft, m *shownPlan) (*clientpage.Page, error) {
	result, schedule, err := s.scheduled(d, m)
	if err != nil {
		return nil, err
	}
	page, err := report.NewClientPage(ctx, m.photos, result, schedule, s.now())
	if err == nil && !m.outdated.Empty() {
		page.Small = speakerOf(d).Say(m.outdated) + " " + page.Small
	}
	return page, err
}

// cardOf gathers the card of a planned piece.
func (s *Server) cardOf(ctx context.Context, d *pieceDraft, m *shownPlan) (*card.Sheet, error) {
	result, schedule, err := s.scheduled(d, m)
	if err != nil {
		return nil, err
	}
	sheet, err := report.NewCard(ctx, m.photos, result, schedule, "huewright log show "+strconv.Quote(d.Piece.Name), s.now())
	if err == nil && !m.outdated.Empty() {
		sheet.Warnings = append([]string{speakerOf(d).Say(m.outdated)}, sheet.Warnings...)
	}
	return sheet, err
}
