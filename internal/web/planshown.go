package web

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/workshop"
)

const (
	mostRuns = 8               // plans of a piece that are looked through for the one to show
	patience = 5 * time.Second // that a page waits for its turn to have its plan made again
)

// A shownPlan is the plan that a piece's page shows: that of the piece as it now is, or else the last one, marked as out of
// date. A plan outlives the program that made it: it is made again from the log.
type shownPlan struct {
	*cachedPlan            // nil where it cannot be made again now
	outdated    fault.Note // why it is out of date; empty where it is not
	at          time.Time  // when it was made; zero for one that is still kept
	stored      []string   // what the log has of it, where it cannot be made again
	fault       error      // why it cannot
}

// planned is the plan to show of a piece; nil where there is none.
func (s *Server) planned(ctx context.Context, d *pieceDraft) (*shownPlan, error) {
	req, err := s.planRequest(ctx, d)
	if err != nil {
		return nil, err
	}
	now := planKeyOf(&req)
	if m := s.plans.of(now); m != nil {
		return &shownPlan{cachedPlan: m}, nil
	}
	runs, err := s.log.RunsOf(ctx, d.Piece.Name, "plan", mostRuns)
	if err != nil {
		return nil, err
	}
	run, past := choosePlan(runs, now)
	if run == nil {
		return nil, nil
	}
	p := &shownPlan{at: run.At}
	switch key := planKeyOf(past); {
	case key.piece != now.piece:
		p.outdated = fault.Say("page.outdated-piece")
	case key.past != now.past:
		p.outdated = fault.Say("page.outdated-log")
	case key.chosen != now.chosen:
		p.outdated = fault.Say("page.outdated-chosen")
	}
	p.cachedPlan, p.fault = s.remake(ctx, *past)
	if p.fault != nil && ctx.Err() == nil {
		p.stored, err = s.storedPlan(ctx, d, run)
	}
	return p, errors.Join(ctx.Err(), err)
}

// choosePlan is the run that planned what there is now; else one of the piece as it now is; else the last.
func choosePlan(runs []logbook.PastRun, now planKey) (run *logbook.PastRun, req *workshop.PlanRequest) {
	best := 0
	for i := range runs {
		var asked workshop.PlanRequest
		if err := json.Unmarshal(runs[i].Request, &asked); err != nil {
			continue // of another version
		}
		rank := 1
		if key := planKeyOf(&asked); key == now {
			rank = 3
		} else if key.piece == now.piece {
			rank = 2
		}
		if rank > best {
			best, run, req = rank, &runs[i], &asked
		}
	}
	return run, req
}

// remake makes a plan again that was made before, unless it is still kept.
func (s *Server) remake(ctx context.Context, req workshop.PlanRequest) (*cachedPlan, error) {
	key := planKeyOf(&req)
	if m := s.plans.of(key); m != nil {
		return m, nil
	}
	turn, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	release, err := s.acquire(turn)
	if errors.Is(err, context.DeadlineExceeded) && ctx.Err() == nil {
		return nil, errBusy
	}
	if err != nil {
		return nil, err
	}
	defer release()
	if m := s.plans.of(key); m != nil {
		return m, nil // somebody else was waiting for the same
	}
	m, err := s.makePlan(ctx, req)
	if err == nil {
		s.plans.add(m)
	}
	return m, err
}

// storedPlan is what the log has of a plan, in words.
func (s *Server) storedPlan(ctx context.Context, d *pieceDraft, run *logbook.PastRun) (all []string, err error) {
	entries, err := s.log.Timeline(ctx, d.Piece.Name)
	style := report.Style{Speaker: speakerOf(d)}
	for i := range entries {
		if e := &entries[i]; e.Run == run.ID && e.Plan != nil {
			all = append(all, e.Area+": "+style.Described(e))
		}
	}
	return all, err
}
