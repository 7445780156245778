package workshop

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"huewright/blend/learn"
	"huewright/colour"
	"huewright/imageio"
	"huewright/internal/logbook"
	"huewright/internal/piece"
)

// A History is all that the log has of a piece.
type History struct {
	Piece   logbook.Piece
	Entries []logbook.Entry // in the order it happened; those that were put right among them
}

// Recount gathers a piece's history.
func Recount(ctx context.Context, log *logbook.Log, name string) (*History, error) {
	p, err := log.Piece(ctx, name)
	if err != nil {
		return nil, err
	}
	entries, err := log.Timeline(ctx, name)
	p.Entries = len(entries)
	return &History{p, entries}, err
}

// Stands are the entries that nothing has put right.
func (h *History) Stands() (all []logbook.Entry) {
	for _, e := range h.Entries {
		if e.Stands() && e.Kind != logbook.OfWithdrawal {
			all = append(all, e)
		}
	}
	return all
}

// Scores say how good the log's predictions have been.
type Scores struct {
	Coatings []CoatingScore // the one with most outcomes first
	All      CoatingScore   // over all of them
	Counts   []logbook.Count
	Exact    int // counts that were right
	NearlySo int // right or one off
	InRange  int // within the range that holds 80 times in 100
	Habit    learn.Bias
	Pieces   int // that the habit was found from
}

// A CoatingScore says how good predictions of one coating have been.
type CoatingScore struct {
	Coating string // "" for all
	Pieces  int
	Results int
	DeltaE  float64    // mean ΔE00 between foreseen and measured
	Within  int        // of Results within the stated 95 % radius
	Off     colour.Lab // mean of measured less foreseen
	OffSE   [3]float64 // its standard error; NaN of one
	Words   string     // what the mean is off by, as a bench says it: "a touch lighter"
}

// Score holds what was foreseen against what came, over the whole log.
func Score(ctx context.Context, log *logbook.Log) (*Scores, error) {
	outcomes, err := log.Outcomes(ctx)
	if err != nil {
		return nil, err
	}
	s := &Scores{All: score("", outcomes)}
	by := map[string][]logbook.Outcome{}
	for _, o := range outcomes {
		by[o.Coating] = append(by[o.Coating], o)
	}
	for name, some := range by {
		s.Coatings = append(s.Coatings, score(name, some))
	}
	slices.SortFunc(s.Coatings, func(a, b CoatingScore) int {
		if a.Results != b.Results {
			return b.Results - a.Results
		}
		return strings.Compare(a.Coating, b.Coating)
	})
	if s.Counts, err = log.Counts(ctx); err != nil {
		return nil, err
	}
	for _, c := range s.Counts {
		if c.Put == c.Laid {
			s.Exact++
		}
		if d := c.Put - c.Laid; d*d <= 1 {
			s.NearlySo++
		}
		if c.Laid >= c.Low && c.Laid <= c.High {
			s.InRange++
		}
	}
	s.Habit, s.Pieces, err = log.Habit(ctx, "")
	return s, err
}

func score(coating string, outcomes []logbook.Outcome) CoatingScore {
	s := CoatingScore{Coating: coating, Results: len(outcomes)}
	pieces := map[string]bool{}
	var foreseen, measured colour.Lab
	n := float64(len(outcomes))
	var sum, squares [3]float64
	for i := range outcomes {
		o := &outcomes[i]
		pieces[o.Piece] = true
		s.DeltaE += o.DeltaE / n
		if o.Within() {
			s.Within++
		}
		for c, off := range o.Evidence().Residual {
			sum[c], squares[c] = sum[c]+off, squares[c]+off*off
		}
		foreseen = colour.Lab{L: foreseen.L + o.Foreseen.L/n, A: foreseen.A + o.Foreseen.A/n, B: foreseen.B + o.Foreseen.B/n}
		measured = colour.Lab{L: measured.L + o.Measured.L/n, A: measured.A + o.Measured.A/n, B: measured.B + o.Measured.B/n}
	}
	s.Pieces = len(pieces)
	if len(outcomes) == 0 {
		return s
	}
	s.Off = colour.Lab{L: sum[0] / n, A: sum[1] / n, B: sum[2] / n}
	for c := range sum {
		mean := sum[c] / n
		s.OffSE[c] = math.Sqrt(max(0, squares[c]/n-mean*mean) / (n - 1))
	}
	s.Words = colour.DescribeDifference(foreseen, measured)
	return s
}

// A Drift is how an area's colour went.
type Drift struct {
	Piece, Area string
	Points      []logbook.Point
	// Since is where the points begin that have the last coats on them: colours before are of
	// another surface, and no drift.
	Since   int
	Wood    string
	Ageing  string  // what is known of the wood, as a caution
	DeltaE  float64 // ΔE00 from the first of Since to the last
	Surely  bool    // that is more than both readings may be off
	Words   string
	OffBoth float64 // 95 % radius of both readings together
}

// Follow follows an area's colour through the log.
func Follow(ctx context.Context, log *logbook.Log, p, area string) (*Drift, error) {
	points, err := log.Drift(ctx, p, area)
	if err != nil {
		return nil, err
	}
	board, err := log.Board(ctx, p, area)
	if err != nil {
		return nil, err
	}
	d := &Drift{Piece: p, Area: area, Points: points, Wood: board.Facts.Wood, Ageing: learn.Ageing(board.Facts.Wood)}
	last := points[len(points)-1]
	for d.Since = len(points) - 1; d.Since > 0 && sameStack(points[d.Since-1].Stack, last.Stack); d.Since-- {
	}
	first := points[d.Since]
	d.DeltaE, d.OffBoth = colour.DeltaE2000(first.Lab, last.Lab), math.Hypot(first.PlusMinus, last.PlusMinus)
	d.Surely, d.Words = d.DeltaE > d.OffBoth, colour.DescribeDifference(first.Lab, last.Lab)
	return d, nil
}

// keptFiles are the photos of a run, by the names its request has for them.
type keptFiles struct {
	log *logbook.Log
	run *logbook.Run
}

func (f keptFiles) ReadFile(path string) ([]byte, error) {
	hash, there := f.run.Photos[path]
	if !there {
		return nil, &fs.PathError{Op: "read", Path: path, Err: fs.ErrNotExist}
	}
	return f.log.Photo(hash)
}

func (f keptFiles) OpenPhoto(ctx context.Context, path string) (*imageio.Photo, error) {
	data, err := f.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return imageio.Decode(ctx, data, path)
}

// AgainPlan makes a plan of the log once more, from the photos that were kept, as this program
// does it now.
func AgainPlan(ctx context.Context, log *logbook.Log, run int64) (*PlanResult, *logbook.Run, error) {
	r, err := log.Run(ctx, run)
	if err != nil {
		return nil, nil, err
	}
	if r.What != "plan" {
		return nil, nil, &piece.UseError{Key: "run", Problem: fmt.Sprintf("run %d is a %s, and no plan", run, r.What), Advice: "name the run of a plan: huewright log show tells them"}
	}
	var req PlanRequest
	if err := json.Unmarshal(r.Request, &req); err != nil {
		return nil, nil, errors.Join(fmt.Errorf("run %d", run), err)
	}
	result, err := Plan(ctx, keptFiles{log, &r}, req)
	return result, &r, err
}
