package plan

import (
	"cmp"
	"context"
	"math"
	"slices"

	"huewright/blend"
	"huewright/blend/learn"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/parallel"
)

// A Candidate is a coating that might be bought: the colour that it dries to where nothing shows through.
type Candidate struct {
	Name   string
	Chip   colour.Lab
	Hiding float64 // contrast ratio of one coat as it comes, see [ContrastRatio], 0–1; 0 is not known
}

// A RankedCandidate is what a candidate would do on a whole piece, thinned as it does best.
type RankedCandidate struct {
	Candidate
	OneCoat colour.Lab // of one coat so thinned on the palest area, as it is measured then
	Areas   []IdealArea
	Leaves  float64 // largest difference of an area from the held end, ΔE00
	Value   float64 // what is minimised: see [Ideal]
}

// Candidates is what Rank says of coatings that might be bought.
type Candidates struct {
	On      string            // the palest area, that OneCoat is told on
	Ranked  []RankedCandidate // the best first
	None    bool              // none of them is clearly better than the suggested plan and than no coat
	Nearest string            // the candidate whose chip is nearest the middle of the areas' colours, which people pick by eye
}

// Rank ranks coatings that might be bought by what each would do by itself for the whole piece: as [Ideal], for the areas that the
// suggested plan leaves furthest apart. Of each only its colour is known, perhaps its hiding; how it is thinned is free.
func Rank(ctx context.Context, w *learn.Samples, problem Problem, plan *Plan, candidates []Candidate) (*Candidates, error) {
	if err := problem.check(w); err != nil {
		return nil, err
	}
	problem.Options.fill()
	p, choice := newPlanner(w, &problem), &plan.Choices[0]
	h := p.holdEnd(choice)
	pale := h.palest()
	all := make([]RankedCandidate, len(candidates))
	if err := parallel.For(ctx, len(all), func(i int) {
		c, v := h.bestStrength(candidates[i].coating(), candidates[i].Hiding > 0)
		all[i] = RankedCandidate{candidates[i], h.oneCoat(c, pale), h.areasOf(v), v.worst(), v.cost}
	}); err != nil {
		return nil, err
	}
	slices.SortStableFunc(all, func(x, y RankedCandidate) int { return cmp.Compare(x.Value, y.Value) })
	said := &Candidates{On: pale.Name, Ranked: all, Nearest: h.nearestMiddle(candidates)}
	nothing := h.judge(&blend.Coating{})
	said.None = len(all) == 0 || all[0].Value >= nothing.cost-1e-9 || all[0].Leaves > min(choice.Worst.Median, nothing.worst())-worthNearer
	return said, nil
}

// nearestMiddle names the candidate whose chip is nearest to the mean colour of the areas.
func (h *heldEnd) nearestMiddle(candidates []Candidate) (name string) {
	var middle colour.Lab
	share := 1 / float64(len(h.bare))
	for _, seen := range h.bare {
		middle.L, middle.A, middle.B = middle.L+share*seen.mean.L, middle.A+share*seen.mean.A, middle.B+share*seen.mean.B
	}
	least := math.Inf(1)
	for _, c := range candidates {
		if d := colour.DeltaE2000(middle, c.Chip); d < least {
			name, least = c.Name, d
		}
	}
	return name
}

// coating is a film of a candidate's opaque colour that scatters alike at all wavelengths: of the hiding that is known or of a coat
// of paint.
func (c *Candidate) coating() *blend.Coating {
	coating := &blend.Coating{Name: c.Name, Kind: "wash", Surface: idealSurface}
	limit := spectra.PriorSpectrum(c.Chip)
	for i, r := range limit {
		r = min(max(blend.InsideSurface(r, coating.Surface), 0.001), 0.999)
		coating.Films[i] = blend.Film{K: (1 - r) * (1 - r) / (2 * r), S: 1} // Kubelka and Munk
	}
	if c.Hiding <= 0 {
		return coating
	}
	low, high := 1e-4, 1e2
	for range 30 {
		if middle := math.Sqrt(low * high); ContrastRatio(coating.Strength(middle)) < c.Hiding {
			low = middle
		} else {
			high = middle
		}
	}
	return coating.Strength(high)
}

const (
	thinnestCandidate = 0.003 // of the strength of a coating as it comes
	strongerThanPaint = 3.0   // for one whose strength is not known
	strengthStep      = 1.3   // between the strengths that are tried
)

// bestStrength returns a coating at the strength at which it costs least, and what it then does. Only what comes at a known strength
// cannot be made stronger.
func (h *heldEnd) bestStrength(c *blend.Coating, known bool) (best *blend.Coating, v *verdict) {
	most := strongerThanPaint
	if known {
		most = 1
	}
	for times := most; times > thinnestCandidate; times /= strengthStep {
		thinned := c.Strength(times)
		if judged := h.judge(thinned); v == nil || judged.cost < v.cost {
			best, v = thinned, judged
		}
	}
	return best, v
}
