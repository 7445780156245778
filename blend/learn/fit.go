package learn

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"huewright/internal/lm"
)

// A component is one of the things that are found out together: a coating, or the clear coat. Its
// unknowns are plain numbers, and its sights what was seen of it.
type component interface {
	size() int // number of unknowns
	sights() []observation
	prior() linear
	starts() [][]float64
	// predict returns the colour that at foresees for sight i, and puts into slopes, from
	// column from on, how it changes with each unknown.
	predict(i int, at []float64, slopes *[3][]float64, from int) [3]float64
	// leaning is how the residuals of sight i change with what is not an unknown.
	leaning(i int, at []float64) sensitivity
}

// A linear is a prior: each of its rows times the unknowns is wanted to be so much, in
// standard deviations.
type linear struct {
	rows  [][]float64
	want  []float64
	heavy []bool // large deviations are less odd than a normal distribution has it
}

func (l *linear) add(want float64, row []float64) {
	l.rows, l.want, l.heavy = append(l.rows, row), append(l.want, want), append(l.heavy, false)
}

func (l *linear) addHeavy(want float64, row []float64) {
	l.add(want, row)
	l.heavy[len(l.heavy)-1] = true
}

// tamed returns the residual of a normal distribution that is as odd as r is in Student's t with
// heavyTail degrees of freedom, and how it changes with r.
func tamed(r float64) (residual, slope float64) {
	const nu = heavyTail
	size := math.Sqrt((nu + 1) * math.Log1p(r*r/nu))
	if size < 1e-6 {
		slope = math.Sqrt((nu + 1) / nu)
		return slope * r, slope
	}
	return math.Copysign(size, r), (nu + 1) * math.Abs(r) / ((nu + r*r) * size)
}

const heavyTail = 3.0

// A problem is all that is found out together: its parts one after another, and the readings
// that were taken of them. What is wrong about one photo is wrong about all of them.
type problem struct {
	parts    []component
	readings *readings
	from     []int // where each part's unknowns begin
	size     int
	rows     int // residuals: three for each sight
	all      []observation
	of       []int // the part of each sight
	nth      []int // and which of the part's it is
	priors   []linear
}

func newProblem(r *readings, parts ...component) *problem {
	q := &problem{parts: parts, readings: r}
	for k, p := range parts {
		q.from = append(q.from, q.size)
		q.size += p.size()
		q.priors = append(q.priors, p.prior())
		for i, s := range p.sights() {
			q.all = append(q.all, s)
			q.of, q.nth = append(q.of, k), append(q.nth, i)
		}
	}
	q.rows = 3 * len(q.all)
	return q
}

// A shift moves what was seen, in CIELAB units, and what the prior wants, in standard deviations:
// a world in which readings and prior were off by so much.
type shift struct {
	seen  []float64
	prior []float64
}

// A posterior is the most probable point given prior and evidence, the cost there, and how
// sharply the cost rises round it.
type posterior struct {
	at        []float64
	cost      float64 // half the sum of squares, in standard deviations
	curvature *mat.SymDense
}

// A scratch is room to work in, for one fit after another.
type scratch struct {
	residuals []float64
	slopes    [][]float64 // of each residual
	sum       []float64
	gradient  []float64
	square    []float64
}

func (q *problem) scratch() *scratch {
	s := &scratch{
		residuals: make([]float64, q.rows), slopes: make([][]float64, q.rows),
		sum: make([]float64, q.size), gradient: make([]float64, q.size), square: make([]float64, q.size*q.size),
	}
	for i := range s.slopes {
		s.slopes[i] = make([]float64, q.size)
	}
	return s
}

// residualsAt fills in how far what at foresees is from what was seen, and the slopes.
func (q *problem) residualsAt(at []float64, by *shift, s *scratch) {
	for i := range q.all {
		v := &q.all[i]
		k := q.of[i]
		slopes := [3][]float64{s.slopes[3*i], s.slopes[3*i+1], s.slopes[3*i+2]}
		got := q.parts[k].predict(q.nth[i], at[q.from[k]:q.from[k]+q.parts[k].size()], &slopes, q.from[k])
		for c, seen := range [3]float64{v.seen.L, v.seen.A, v.seen.B} {
			s.residuals[3*i+c] = got[c] - seen
			if by != nil {
				s.residuals[3*i+c] += by.seen[3*i+c]
			}
		}
	}
}

// normal returns the cost at a point, and leaves in s its gradient and the Gauss–Newton
// approximation of its curvature, upper half.
func (q *problem) normal(at []float64, white whitening, by *shift, s *scratch) (cost float64) {
	q.residualsAt(at, by, s)
	clear(s.gradient)
	clear(s.square)
	for _, row := range white {
		clear(s.sum)
		residual := 0.0
		low, high := q.size, 0
		for k, w := range row {
			if w == 0 {
				continue
			}
			residual += w * s.residuals[k]
			part := q.of[k/3]
			first, last := q.from[part], q.from[part]+q.parts[part].size()
			low, high = min(low, first), max(high, last)
			slopes := s.slopes[k]
			for j := first; j < last; j++ {
				s.sum[j] += w * slopes[j]
			}
		}
		cost += residual * residual / 2
		s.add(residual, s.sum, low, high, q.size)
	}
	term := 0
	for k := range q.parts {
		prior, first := &q.priors[k], q.from[k]
		for i, row := range prior.rows {
			residual := -prior.want[i]
			for j, v := range row {
				residual += v * at[first+j]
			}
			copy(s.sum[first:first+len(row)], row)
			if prior.heavy[i] {
				var slope float64
				residual, slope = tamed(residual)
				for j := range row {
					s.sum[first+j] *= slope
				}
			}
			if by != nil {
				residual -= by.prior[term]
			}
			term++
			cost += residual * residual / 2
			s.add(residual, s.sum, first, first+len(row), q.size)
		}
	}
	return cost
}

func (s *scratch) add(residual float64, slope []float64, low, high, size int) {
	for i := low; i < high; i++ {
		si := slope[i]
		if si == 0 {
			continue
		}
		s.gradient[i] += si * residual
		row := s.square[i*size : i*size+size]
		for j := i; j < high; j++ {
			row[j] += si * slope[j]
		}
	}
}

// fit climbs down from start to a point that no small step betters. Once ctx has ended it stops short of
// that, for the caller to notice.
func (q *problem) fit(ctx context.Context, start []float64, white whitening, by *shift, s *scratch) posterior {
	best := lm.Minimise(ctx, &fitting{q, white, by, s}, start, lm.Options{
		Damping: 1e-2,
		Factor:  6,
		Tries:   60,
		Gain:    1e-6, // a thousandth of a standard deviation
		Longest: 2,    // in logs: films explode beyond
	})
	return posterior{best.X, best.Cost, best.Curvature}
}

// A fitting is a problem with all that its cost depends on, and room to work in.
type fitting struct {
	*problem
	white whitening
	by    *shift
	room  *scratch
}

// Cost leaves the normal equations in the room: most steps are taken.
func (f *fitting) Cost(at []float64) float64 { return f.normal(at, f.white, f.by, f.room) }

func (f *fitting) Normal(_, gradient []float64, curvature *mat.SymDense) {
	copy(gradient, f.room.gradient)
	copy(curvature.RawSymmetric().Data, f.room.square)
}

// solve finds the most probable point: each part by itself from several starts, since strong and
// weak coatings can explain one coat nearly equally well, and then all together, with what their
// readings have wrong in common.
func (q *problem) solve(ctx context.Context) (posterior, whitening, error) {
	var start []float64
	for _, p := range q.parts {
		alone := newProblem(q.readings, p)
		room, white := alone.scratch(), alone.plainWhitening()
		best := posterior{cost: math.Inf(1)}
		for _, from := range p.starts() {
			if f := alone.fit(ctx, from, white, nil, room); f.cost < best.cost {
				best = f
			}
		}
		if err := ctx.Err(); err != nil {
			return posterior{}, nil, err
		}
		start = append(start, best.at...)
	}
	room := q.scratch()
	white := q.whitening(start)
	best := q.fit(ctx, start, white, nil, room)
	white = q.whitening(best.at)
	best = q.fit(ctx, best.at, white, nil, room)
	return best, white, ctx.Err()
}
