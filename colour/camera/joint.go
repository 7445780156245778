package camera

import (
	"context"
	"fmt"
	"math"
	"slices"

	"huewright/colour"
	"huewright/internal/lm"
)

// A PhotoView is what one photo of a piece shows that bears on its colours: surfaces that
// are known, and ties. Either may be missing.
type PhotoView struct {
	Name string // for messages
	// Camera tells photos by one camera from those by another. Photos of one camera share
	// what it does to colours, but for a little; gains are each photo's own. Equal names are
	// one camera, so photos that do not say are taken to be by one.
	Camera string
	// Known are a chart's patches, cards, paper of known lightness. What has the same Name
	// and Want in two photos is taken to be one surface, off in both by the same.
	Known []Sample
	Ties  []TiePoint
}

// A TiePoint is something unchanged, of no known colour, as one photo shows it: a slip of
// paper, an untouched spot of wood, a handle.
type TiePoint struct {
	Name   string           // the same in every photo that shows it
	Camera colour.LinearRGB // averaged in linear light
	SD     float64          // of what is wrong about this sight alone, in each of L*, a*, b*; 0 means 0.5
}

// tieSD is how well a plain surface is read twice in one photo, in each of L*, a*, b*.
const tieSD = 0.5

func (s *TiePoint) deviation() float64 {
	if s.SD == 0 {
		return tieSD
	}
	return s.SD
}

// A TieReport is the colour that a tie came to, and how the photos agree about it.
type TieReport struct {
	Name   string
	Lab    colour.Lab
	Photos []int     // that show it, by their place in what was fitted
	Off    []float64 // of each of them: ΔE00 between what it shows and Lab
}

// A Joint is the photos of one piece solved together: a correction for each, and how far
// each pair of them may be trusted against one another. Any number of goroutines may use it
// at once.
type Joint struct {
	corrections []*Correction
	posterior   jointPosterior
	ties        []TieReport
	island      []int        // of each photo; those of one island hang together by ties
	anchored    map[int]bool // islands in which something has a known colour
}

// jointSteps is more than a single photo takes: gains of many photos move together.
const jointSteps = 60

// FitJoint solves the photos of one piece together: for each photo the camera model of
// FitCamera, for each tie one unknown colour shared by all photos that see it. It is the most
// probable solution given the priors; what it leaves open, and how that is shared between
// photos, is its posterior. No known surface is needed anywhere: colours are then right
// beside one another, and only as right in themselves as phones are.
//
// A sample or tie that is not finite, and a tie that one photo shows twice, are errors; so is the end of
// ctx, which stops it.
func FitJoint(ctx context.Context, photos []PhotoView) (*Joint, error) {
	if err := checkSights(photos); err != nil {
		return nil, err
	}
	j := &Joint{}
	if len(photos) == 0 {
		return j, nil
	}
	alone := make([]*Correction, len(photos))
	for i := range photos {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		c, _, err := Fit(photos[i].Known)
		if err != nil {
			return nil, fmt.Errorf("photo %q: %w", photos[i].Name, err)
		}
		alone[i] = c
	}
	problem := newJointProblem(photos, alone)
	best := lm.Minimise(ctx, lm.Residuals(problem.residuals, problem.parameters, problem.evaluate), problem.start(), lm.Options{Steps: jointSteps})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	params := best.X
	j.posterior = newJointPosterior(problem.stated(params))
	for i := range photos {
		j.corrections = append(j.corrections, problem.correction(i, params, alone[i], &j.posterior))
	}
	j.ties = problem.reports(params)
	j.island, j.anchored = islands(photos)
	return j, nil
}

// Correction is that of a photo, by its place in what was fitted.
func (j *Joint) Correction(photo int) *Correction { return j.corrections[photo] }

// Ties are the ties that two photos or more show, in order of their names.
func (j *Joint) Ties() []TieReport { return j.ties }

// Tied reports whether two photos hang together: by a tie, by a chain of photos tied one to
// the next, or by both being tied to something of known colour.
func (j *Joint) Tied(a, b int) bool {
	return j.island[a] == j.island[b] || j.anchored[j.island[a]] && j.anchored[j.island[b]]
}

func checkSights(photos []PhotoView) error {
	for i := range photos {
		seen := map[string]bool{}
		for _, t := range photos[i].Ties {
			sum := t.Camera.R + t.Camera.G + t.Camera.B
			switch {
			case math.IsNaN(sum) || math.IsInf(sum, 0):
				return fmt.Errorf("photo %q: tie %q is not a finite colour", photos[i].Name, t.Name)
			case !(t.SD >= 0) || math.IsInf(t.SD, 1):
				return fmt.Errorf("photo %q: tie %q: a standard deviation of %v", photos[i].Name, t.Name, t.SD)
			case seen[t.Name]:
				return fmt.Errorf("photo %q shows tie %q twice", photos[i].Name, t.Name)
			}
			seen[t.Name] = true
		}
	}
	return nil
}

// islands numbers the groups of photos that ties hold together.
func islands(photos []PhotoView) (of []int, anchored map[int]bool) {
	of = make([]int, len(photos))
	for i := range of {
		of[i] = i
	}
	first := map[string]int{}
	for i := range photos {
		for _, t := range photos[i].Ties {
			k, seen := first[t.Name]
			if !seen {
				first[t.Name] = i
				continue
			}
			from, to := of[i], of[k]
			for n := range of {
				if of[n] == from {
					of[n] = to
				}
			}
		}
	}
	anchored = map[int]bool{}
	for i := range photos {
		if slices.ContainsFunc(photos[i].Known, func(s Sample) bool { return s.Skip == "" }) {
			anchored[of[i]] = true
		}
	}
	return of, anchored
}
