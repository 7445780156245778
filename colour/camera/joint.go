package camera

import (
	"context"

	"gonum.org/v1/gonum/mat"

	"huewright/internal/fault"
	"huewright/internal/lm"
)

// A Joint is the photos of one piece solved together: a correction for each, and how far
// each pair of them may be trusted against one another. Any number of goroutines may use it
// at once.
type Joint struct {
	corrections []*Correction
	covariance  *mat.SymDense // of the parameters of all photos
	ties        []TieReport
	camera      []string     // of each photo
	component   []int        // of each photo
	anchored    map[int]bool // components in which something has a known colour
}

// jointSteps is more than a single photo takes: gains of many photos move together.
const jointSteps = 60

// FitJoint solves the photos of one piece together: for each photo the camera model of
// [Fit], for each tie point one unknown colour shared by all photos that see it. It is the most
// probable solution given the priors; its posterior covariance says how errors are shared between
// photos. No known surface is needed anywhere: colours are then right
// beside one another, and only as right in themselves as phones are.
//
// A sample or tie point that is not finite, and one that a photo shows twice, are errors; so is the end of
// ctx, which stops it.
func FitJoint(ctx context.Context, photos []PhotoView) (*Joint, error) {
	if err := checkTies(photos); err != nil {
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
		c, _, err := FitAs(photos[i].Light, photos[i].Known)
		if err != nil {
			return nil, fault.In(err, fault.Place{File: photos[i].Name})
		}
		alone[i] = c
	}
	problem := newJointProblem(photos, alone)
	squares := lm.Residuals(problem.residuals, problem.parameters, problem.evaluate)
	best := lm.Minimise(ctx, squares, problem.start(), lm.Options{Steps: jointSteps})
	problem.tieNoise = problem.noiseOfTies(best.X, inverseOf(best.Curvature))
	problem.expectMixing(best.X, photos)
	best = lm.Minimise(ctx, squares, best.X, lm.Options{Steps: jointSteps})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	j.covariance = inverseOf(best.Curvature)
	for i := range photos {
		own := j.covariance.SliceSym(i*nCamera, (i+1)*nCamera).(*mat.SymDense)
		j.camera = append(j.camera, photos[i].cameraName())
		j.corrections = append(j.corrections, problem.correction(i, best.X, alone[i], own))
	}
	j.ties = problem.reports(best.X)
	j.pin(photos, problem.tieColours(best.X))
	j.component, j.anchored = components(photos)
	return j, nil
}

// Correction is that of a photo, by its place in what was fitted.
func (j *Joint) Correction(photo int) *Correction { return j.corrections[photo] }

// Ties are the tie points that two photos or more show, in order of their names.
func (j *Joint) Ties() []TieReport { return j.ties }

// Tied reports whether two photos are connected: by a tie point, by a chain of photos tied one to
// the next, or by both being tied to something of known colour.
func (j *Joint) Tied(a, b int) bool {
	return j.component[a] == j.component[b] || j.anchored[j.component[a]] && j.anchored[j.component[b]]
}
