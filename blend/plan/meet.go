package plan

import (
	"cmp"
	"math"
	"slices"

	"huewright/colour"
)

// A MeetPlan is how areas without a target come together: which coats on each make the two that
// differ most differ least.
type MeetPlan struct {
	Before   float64      // ΔE00 of the two areas that differ most, as they are
	Choices  []MeetChoice // closest first; none of them beats another in both nearness and grain
	Chosen   int          // the one put forward: the balanced one where grain is known, else the closest
	Together bool         // the chosen one brings all within tolerance of one another
	// Lightest is set where the ground of an area stays lighter than the darkest area that no coating
	// on the shelf lightens: the name of that area.
	Lightest string
}

// A MeetChoice is one way to bring areas together.
type MeetChoice struct {
	Kind   string // one of Closest, Balanced, MostGrain
	Areas  []MeetArea
	Worst  Spread     // ΔE00 of the two areas that then differ most
	Pair   [2]string  // those two
	Pairs  []MeetPair // every two areas
	Common colour.Lab // the mean of all areas then, as it will be seen
	Grain  float64    // the least share of grain that an area keeps; NaN where nothing is known of it
}

// A MeetPair is two areas, and how far apart they are as they will be seen.
type MeetPair struct {
	Areas  [2]string
	Before float64 // ΔE00, as they are
	After  Spread  // after the coats
}

// A MeetArea is what is laid on one area so that it meets the others.
type MeetArea struct {
	Name      string
	Coats     []CoatCount
	Path      []Step // the area as it is, then after each coat; ΔE00 to the common colour
	OneMore   Step   // one coat more
	Grain     float64
	StopAfter int // as in Choice

	bestCounts [][]int // the best count of each of Coats, by world
}

// worthMeeting is the ΔE00 that a coat must bring areas nearer to one another: each is a day's
// wait, and one more that cannot be taken off (our own choice).
const worthMeeting = 0.2

// mostMeetLayer is the most coats of each coating where areas meet under two coatings.
const mostMeetLayer = 5

// A layerOrder is the coatings, undermost first, that all areas may get some coats of.
type layerOrder []int

// layersIn are all counts of a scheme's coatings, none included.
func (p *planner) layersIn(s layerOrder) (all []layers) {
	if len(s) == 1 {
		for n := range p.problem.Options.MaxCoats + 1 {
			all = append(all, layers{{s[0], n}})
		}
		return all
	}
	for n := range mostMeetLayer + 1 {
		for m := range mostMeetLayer + 1 {
			if n+m <= p.problem.Options.MaxCoats {
				all = append(all, layers{{s[0], n}, {s[1], m}})
			}
		}
	}
	return all
}

// A searchSpace is areas, what may be laid on each, and how each then looks in one world.
type searchSpace struct {
	options     []layers
	appearances [][]appearance // by area and course
	grain       [][]float64    // kept, by area and course
	tolerance   float64        // ΔE00 below which nearer is not better
	pairwise    [][][]float64  // ΔE00 of areas i and k < i, by their courses c·len(courses) + d; made by measure
}

func (p *planner) searchSpace(v model, areas []*Area, s layerOrder) *searchSpace {
	m := &searchSpace{options: p.layersIn(s), appearances: make([][]appearance, len(areas)), grain: make([][]float64, len(areas)), tolerance: p.problem.Options.Tolerance}
	for i, a := range areas {
		m.appearances[i] = v.appearancesIn(a, s, m.options)
		before := v.baseline(a)
		for _, l := range m.appearances[i] {
			m.grain[i] = append(m.grain[i], l.keeps(&before))
		}
	}
	m.comparePairs()
	return m
}

// appearancesIn is how an area looks after each of a scheme's courses.
func (v model) appearancesIn(a *Area, s layerOrder, courses []layers) []appearance {
	if len(s) == 1 {
		return v.appearances(a, layers{{s[0], len(courses) - 1}})
	}
	looks := make([]appearance, len(courses))
	for i, c := range courses {
		looks[i] = v.final(a, c)
	}
	return looks
}

// comparePairs works out how far every two areas are apart under every two courses.
func (m *searchSpace) comparePairs() {
	n := len(m.options)
	m.pairwise = make([][][]float64, len(m.appearances))
	for i := range m.appearances {
		m.pairwise[i] = make([][]float64, i)
		for k := range i {
			pair := make([]float64, n*n)
			for c := range n {
				for d := range n {
					pair[c*n+d] = colour.DeltaE2000(m.appearances[i][c].mean, m.appearances[k][d].mean)
				}
			}
			m.pairwise[i][k] = pair
		}
	}
}

// deltaE is how far area i under course c is from area k under course d.
func (m *searchSpace) deltaE(i, c, k, d int) float64 {
	if i < k {
		i, c, k, d = k, d, i, c
	}
	return m.pairwise[i][k][c*len(m.options)+d]
}

// worstPair is the largest difference of two areas, each under one of the courses, and which two.
func (m *searchSpace) worstPair(at []int) (deltaE float64, pair [2]int) {
	for i := range at {
		for k := range i {
			if d := m.deltaE(i, at[i], k, at[k]); d >= deltaE {
				deltaE, pair = d, [2]int{k, i}
			}
		}
	}
	return deltaE, pair
}

// leastGrain is the least grain that an area keeps; NaN where nothing is known of any.
func (m *searchSpace) leastGrain(at []int) float64 {
	least := math.NaN()
	for i, c := range at {
		if g := m.grain[i][c]; !math.IsNaN(g) && !(g >= least) {
			least = g
		}
	}
	return least
}

func (m *searchSpace) coats(at []int) (n int) {
	for _, c := range at {
		n += m.options[c].coats()
	}
	return n
}

// cost is how far the worst pair is apart, where that is not near enough, and what the coats cost.
func (m *searchSpace) cost(at []int) float64 {
	worst, _ := m.worstPair(at)
	return max(worst, m.tolerance) + worthMeeting*float64(m.coats(at))
}

// minimise finds the courses, one for each area, of which the worst pair differs least, each coat
// counted as worthMeeting: what comes a little nearer by many coats more is not better, nor what
// comes nearer than within tolerance. It is nil when nothing is allowed to an area.
//
// With two areas all pairs are tried. With more, all areas go to where any one of them could be,
// as near as they can, and then each in turn to where the cost is least: see TestMeetingOfMany
// for what that misses.
func (m *searchSpace) minimise(allowed func(area, c int) bool) []int {
	may := make([][]int, len(m.appearances))
	for i := range may {
		for c := range m.options {
			if allowed(i, c) {
				may[i] = append(may[i], c)
			}
		}
		if len(may[i]) == 0 {
			return nil
		}
	}
	var best []int
	least := math.Inf(1)
	take := func(at []int) {
		if cost := m.cost(at); cost < least {
			best, least = slices.Clone(at), cost
		}
	}
	at := make([]int, len(may))
	if len(may) == 2 {
		for _, at[0] = range may[0] {
			for _, at[1] = range may[1] {
				take(at)
			}
		}
		return best
	}
	for i := range may {
		for _, anchor := range may[i] {
			m.gather(at, i, anchor, may)
			m.descend(at, may)
			take(at)
		}
	}
	return best
}

// gather puts every area as near as it may go to area i under course c.
func (m *searchSpace) gather(at []int, i, c int, may [][]int) {
	for k := range may {
		at[k] = c
		if k != i {
			at[k] = slices.MinFunc(may[k], func(d, e int) int { return cmp.Compare(m.deltaE(i, c, k, d), m.deltaE(i, c, k, e)) })
		}
	}
}

// descend moves one area after the other to where the cost is least, until none gains.
func (m *searchSpace) descend(at []int, may [][]int) {
	const mostRounds = 8
	least := m.cost(at)
	for range mostRounds {
		moved := false
		for i := range at {
			was := at[i]
			best := was
			for _, at[i] = range may[i] {
				if c := m.cost(at); c < least-1e-9 {
					least, best = c, at[i]
				}
			}
			at[i] = best
			moved = moved || best != was
		}
		if !moved {
			return
		}
	}
}
