package plan

import (
	"math"
	"slices"

	"huewright/colour"
)

// overshoots reports of every coat of a course whether it leaves the area further from the target
// than it would be without it; of the area as it is, number 0, never. walk is what v walks on that
// course, whose last coat is one more than is planned.
//
// A coat under another coating is judged by where the course ends, with it and without it, the
// rest laid as planned: a base may well lead away from a target that what lies over it leads to.
// A coat of the uppermost coating is judged by the coats up to it, unless those still planned
// bring the area nearer than it was before.
func (v model) overshoots(a *Area, c layers, walk []appearance, target colour.Lab) []bool {
	over := make([]bool, len(walk))
	planned := slices.Clone(c)
	planned[len(planned)-1].count--
	planned = planned.bare()
	n := 0
	for i := range planned {
		if i == len(c)-1 {
			break
		}
		without := slices.Clone(planned)
		without[i].count = 0
		was := colour.DeltaE2000(target, v.final(a, without).mean)
		for m := 1; m <= planned[i].count; m++ {
			without[i].count = m
			is := colour.DeltaE2000(target, v.final(a, without).mean)
			n++
			over[n] = is > was+worthACoat
			was = is
		}
	}
	nearest := math.Inf(1) // that coats still planned bring it
	for m := len(walk) - 1; m > n; m-- {
		is, was := colour.DeltaE2000(target, walk[m].mean), colour.DeltaE2000(target, walk[m-1].mean)
		over[m] = is > was+worthACoat && nearest > was
		if m < len(walk)-1 {
			nearest = min(nearest, is)
		}
	}
	return over
}
