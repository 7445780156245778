package logbook

import (
	"context"
	"math"
	"time"

	"huewright/blend/learn"
	"huewright/colour"
)

// An Outcome is a prediction of a plan, and the reading once its coats were on.
type Outcome struct {
	Piece, Area         string
	Coating             string // of the uppermost coat
	At                  time.Time
	Coats               int // of it, since it was predicted
	Predicted, Measured colour.Lab
	PlusMinus           float64 // 95 % radius, ΔE00, of the difference of the two
	DeltaE              float64
	Step                colour.Lab // what the last coat alone was to change
}

// Within reports whether what was measured lies within what was stated.
func (o *Outcome) Within() bool { return o.DeltaE <= o.PlusMinus }

// Evidence is the outcome as learn.BiasOf takes it.
func (o *Outcome) Evidence() learn.Outcome {
	return learn.Outcome{
		Piece: o.Piece, Area: o.Area, Coats: float64(o.Coats),
		Residual: [3]float64{o.Measured.L - o.Predicted.L, o.Measured.A - o.Predicted.A, o.Measured.B - o.Predicted.B},
		Step:     [3]float64{o.Step.L, o.Step.A, o.Step.B}, PlusMinus: o.PlusMinus, DeltaE: o.DeltaE,
	}
}

// Outcomes are all predictions with a reading to compare them with, the earliest first: for each reading of an
// area with coats on it, the last plan before it that predicted just those coats.
func (l *Log) Outcomes(ctx context.Context) ([]Outcome, error) {
	query := `SELECT p.name, e.area, k.name, e.at, f.laid, f.l, f.a, f.b, f.plus_minus, f.step_l, f.step_a, f.step_b, r.l,
		r.a, r.b, r.plus_minus, r.own
		FROM reading r
		JOIN entry e ON e.id = r.entry
		JOIN piece p ON p.id = e.piece
		JOIN foreseen f ON f.id = (
			SELECT g.id FROM entry n JOIN foreseen g ON g.entry = n.id
			WHERE n.piece = e.piece AND n.kind = 'plan' AND n.area = e.area AND n.at < e.at AND g.stack = r.stack
				AND ` + standing("n.id") + `
			ORDER BY n.at DESC, n.id DESC LIMIT 1)
		JOIN coating k ON k.id = f.coating
		WHERE r.of = 'area' AND r.stack <> '[]' AND ` + standing("e.id") + `
		ORDER BY e.at, e.id`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (o Outcome, err error) {
		var at string
		var foreseen, read, own float64
		f, m, s := &o.Predicted, &o.Measured, &o.Step
		err = scan(&o.Piece, &o.Area, &o.Coating, &at, &o.Coats, &f.L, &f.A, &f.B, &foreseen, &s.L, &s.A, &s.B, &m.L, &m.A, &m.B, &read, &own)
		o.At, o.DeltaE = parsed(at), colour.DeltaE2000(*f, *m)
		// Both photos are read by references of their own: neither's error cancels.
		o.PlusMinus = math.Hypot(foreseen, read)
		return o, err
	})
	return all, faultOf(l.path, err)
}

// A Count is the number of coats suggested for a bare area, and the number it had when a plan suggested no more.
type Count struct {
	Piece, Area string
	At          time.Time // of the first plan
	Suggested   int       // forward
	Low, High   int       // the range that holds 80 times in 100
	Laid        int
}

// Counts are those of all areas that are done, the earliest first.
func (l *Log) Counts(ctx context.Context) ([]Count, error) {
	// The first plan for the bare area, and the last plan, which asks for no more over some coats.
	query := `WITH plans AS (
			SELECT e.piece, e.area, e.at, e.id, n.coats, n.low, n.high, n.stack,
				row_number() OVER (PARTITION BY e.piece, e.area ORDER BY e.at, e.id) AS nth,
				row_number() OVER (PARTITION BY e.piece, e.area ORDER BY e.at DESC, e.id DESC) AS back
			FROM plan n JOIN entry e ON e.id = n.entry
			WHERE ` + standing("e.id") + `)
		SELECT p.name, a.area, a.at, a.coats, a.low, a.high, (SELECT total(json_extract(j.value, '$[1]')) FROM json_each(z.stack) j)
		FROM plans a JOIN plans z ON z.piece = a.piece AND z.area = a.area AND z.back = 1 JOIN piece p ON p.id = a.piece
		WHERE a.nth = 1 AND z.coats = 0 AND z.stack <> '[]' AND z.id <> a.id
			AND (SELECT total(json_extract(j.value, '$[1]')) FROM json_each(a.stack) j) = a.coats
		ORDER BY a.at, a.id`
	all, err := collect(ctx, l.db, query, func(scan func(...any) error) (c Count, err error) {
		var at string
		var laid float64
		err = scan(&c.Piece, &c.Area, &at, &c.Suggested, &c.Low, &c.High, &laid)
		c.At, c.Laid = parsed(at), int(laid)
		return c, err
	})
	return all, faultOf(l.path, err)
}

// Bias is how coats came out on all pieces but one.
func (l *Log) Bias(ctx context.Context, but string) (learn.Bias, int, error) {
	outcomes, err := l.Outcomes(ctx)
	if err != nil {
		return learn.Bias{}, 0, err
	}
	var all []learn.Outcome
	pieces := map[string]bool{}
	for i := range outcomes {
		if !sameName(outcomes[i].Piece, but) {
			all, pieces[outcomes[i].Piece] = append(all, outcomes[i].Evidence()), true
		}
	}
	return learn.BiasOf(all), len(pieces), nil
}
