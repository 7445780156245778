package plan

import (
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/internal/fault"
)

// A planner is a problem with the samples that it is solved in.
type planner struct {
	problem *Problem
	best    model   // the most probable sample
	drawn   []model // at least one: the best where nothing was drawn
	// many are the drawn samples first, and then each again as other hands would lay its coats: so many that a seed does not decide.
	many    []model
	reports []learn.Report // on each coating of the shelf

	groups []*group // of areas that are to look alike
	like   [][]int  // by unit: the areas that it stands for; see group
	woods  int      // areas that are no spots

	endings map[string]*ending        // by area and layers; see endingOf
	lamps   map[string][]colour.Lab   // see lampOf
	spaces  map[*group][]*searchSpace // see spacesOf
	judged  []*candidate              // all that were looked at in all samples
}

// manySamples is what the drawn samples are multiplied to. With 64 the same counts came out in 67 of 100 seeds, with 256 in 78.
const manySamples = 256

func newPlanner(w *learn.Samples, problem *Problem) *planner {
	p := &planner{problem: problem, best: model{problem, &w.Best}, endings: map[string]*ending{}, lamps: map[string][]colour.Lab{},
		spaces: map[*group][]*searchSpace{}, reports: w.Reports}
	for i := range w.Drawn {
		p.drawn = append(p.drawn, model{problem, &w.Drawn[i]})
	}
	if len(p.drawn) == 0 {
		p.drawn = []model{p.best}
	}
	p.many = slices.Clone(p.drawn)
	for hand := uint64(1); p.drawn[0].sample.Seed > 0 && len(p.many)+len(p.drawn) <= manySamples; hand++ {
		for _, m := range p.drawn {
			other := *m.sample
			other.Seed += hand * 0x9e3779b97f4a7c15 // the golden ratio in 64 bits: far from all others
			p.many = append(p.many, model{problem, &other})
		}
	}
	p.groupTogether()
	return p
}

func (p *planner) shelf() []blend.Coating { return p.best.sample.Coatings }

// place returns the index of a coating on the shelf.
func (p *planner) place(name string) int {
	return slices.IndexFunc(p.shelf(), func(c blend.Coating) bool { return c.Name == name })
}

// mayLie reports whether coating k may be laid on an area as it is, and if not, why. More of what lies
// uppermost always may.
func (p *planner) mayLie(a *Area, k int) (ok bool, why fault.Note) {
	n := len(a.Laid)
	if n == 0 || a.Laid[n-1].Coating == k {
		return true, fault.Note{}
	}
	return blend.MayLie(&p.shelf()[a.Laid[n-1].Coating], &p.shelf()[k])
}

// layersMayLie reports whether the undermost coating of some layers may be laid on an area as it is.
func (p *planner) layersMayLie(a *Area, ls layers) bool {
	for _, l := range ls {
		if l.Coats > 0 {
			ok, _ := p.mayLie(a, l.Coating)
			return ok
		}
	}
	return true
}

const lighterBy = 1.0 // L* by which a colour must be lighter to count

// lightens reports whether any coating of the shelf, in any number of coats, makes an area of colour start lighter.
func (p *planner) lightens(a *Area, start colour.Lab) bool {
	for k := range p.shelf() {
		if !p.problem.coats(k) {
			continue
		}
		for _, seen := range p.best.appearances(a, layers{{k, p.problem.Options.MaxCoats}}) {
			if seen.mean.L > start.L+lighterBy {
				return true
			}
		}
	}
	return false
}
