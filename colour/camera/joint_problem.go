package camera

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// A jointProblem is the fit of several photos as least squares. The parameters are, in this
// order: the camera model of each photo; what each camera does in all of its photos; Lab of
// each tie point, and of each known surface that two photos show.
type jointProblem struct {
	photos  []jointPhoto
	cameras []cameraPrior
	ties    []jointTie
	shared  []sharedSurface

	atCameras, atTies, atShared int // where each begins among the parameters
	residuals, parameters       int
	tieNoise                    float64 // how much tie points are off by, against what is stated of them
}

type jointPhoto struct {
	camera   int
	start    cameraParams
	gains    cameraPrior // gain and exposure only
	perPhoto *cameraPrior
	mixing   mixing
	samples  []jointSample
	ties     []tieObservation
}

type jointSample struct {
	Sample
	shared int // surface; −1 when no other photo shows it
}

type jointTie struct {
	name   string
	photos []int
	start  colour.Lab
}

// A sharedSurface is a known surface that two photos show.
type sharedSurface struct {
	want colour.Lab
	sd   float64 // of its own deviation from want
}

// perPhotoShare is the share of a patch's deviation that is each photo's own, where two photos show
// the same patch; the rest is the patch's: print tolerance, fading. Our own choice.
const perPhotoShare = 0.6

// photoPriorTerms is how many residuals hold a photo to its prior: one a parameter, one more
// for exposure, and one a row of B for its sum.
const photoPriorTerms = nCamera + 1 + 3

func newJointProblem(photos []PhotoView, alone []*Correction) *jointProblem {
	f := &jointProblem{photos: make([]jointPhoto, len(photos)), tieNoise: 1}
	cameras := map[string]int{}
	for i := range photos {
		p := &f.photos[i]
		name, prior := photos[i].cameraName(), priorOf(photos[i].Light)
		if _, known := cameras[name]; !known {
			cameras[name] = len(f.cameras)
			f.cameras = append(f.cameras, *prior.tieOnly)
		}
		p.camera = cameras[name]
		p.start = alone[i].params
		p.gains = *prior.nothing
		p.perPhoto = prior.perPhoto
		if alone[i].known > 0 {
			p.gains = cameraPrior{gain: prior.card.gain}
			f.cameras[p.camera].tones = prior.card.tones
		}
		if alone[i].known >= leastOfChart {
			f.cameras[p.camera] = *prior.chart
		}
	}
	f.gatherSamples(photos)
	f.gatherTies(photos, alone)
	f.atCameras = len(photos) * nCamera
	f.atTies = f.atCameras + len(f.cameras)*nCamera
	f.atShared = f.atTies + 3*len(f.ties)
	f.parameters = f.atShared + 3*len(f.shared)
	f.residuals = 3*len(f.shared) + len(f.cameras)*nCamera
	for i := range f.photos {
		p := &f.photos[i]
		f.residuals += 3*len(p.samples) + 3*len(p.ties) + photoPriorTerms
	}
	return f
}

func (f *jointProblem) gatherSamples(photos []PhotoView) {
	type surface struct {
		name string
		want colour.Lab
	}
	showing := map[surface]int{}
	for i := range photos {
		for _, s := range notSkipped(withDefaults(photos[i].Light, photos[i].Known)) {
			showing[surface{s.Name, s.Want}]++
		}
	}
	number := map[surface]int{}
	for i := range photos {
		for _, s := range notSkipped(withDefaults(photos[i].Light, photos[i].Known)) {
			key, shared := surface{s.Name, s.Want}, -1
			if showing[key] > 1 {
				n, numbered := number[key]
				if !numbered {
					n = len(f.shared)
					number[key] = n
					f.shared = append(f.shared, sharedSurface{s.Want, math.Sqrt(1-perPhotoShare*perPhotoShare) / s.weight()})
				}
				shared = n
			}
			f.photos[i].samples = append(f.photos[i].samples, jointSample{s, shared})
		}
	}
}

func (f *jointProblem) gatherTies(photos []PhotoView, alone []*Correction) {
	showing := map[string][]int{}
	for i := range photos {
		for _, t := range photos[i].Ties {
			showing[t.Name] = append(showing[t.Name], i)
		}
	}
	for name, in := range showing {
		if len(in) > 1 {
			f.ties = append(f.ties, jointTie{name: name, photos: in})
		}
	}
	slices.SortFunc(f.ties, func(a, b jointTie) int { return cmp.Compare(a.name, b.name) })
	for i := range photos {
		for _, t := range photos[i].Ties {
			tie := slices.IndexFunc(f.ties, func(tie jointTie) bool { return tie.name == t.Name })
			if tie < 0 {
				continue // seen in one photo only, it says nothing
			}
			seen := alone[i].params.xyz(t.Camera, Position{}).Lab()
			corrected := alone[i].residuals.correct(seen)
			residual := colour.Lab{L: corrected.L - seen.L, A: corrected.A - seen.A, B: corrected.B - seen.B}
			f.photos[i].ties = append(f.photos[i].ties, tieObservation{t, tie, residual})
			share := 1 / float64(len(f.ties[tie].photos))
			start := &f.ties[tie].start
			*start = colour.Lab{L: start.L + share*corrected.L, A: start.A + share*corrected.A, B: start.B + share*corrected.B}
		}
	}
}

// start is each photo fitted alone, and each tie point the mean of what the photos show.
func (f *jointProblem) start() []float64 {
	params := make([]float64, 0, f.parameters)
	for i := range f.photos {
		params = append(params, f.photos[i].start[:]...)
	}
	for range f.cameras {
		params = append(params, identity[:]...)
	}
	for _, t := range f.ties {
		params = append(params, t.start.L, t.start.A, t.start.B)
	}
	for _, s := range f.shared {
		params = append(params, s.want.L, s.want.A, s.want.B)
	}
	return params
}

func (f *jointProblem) photoParams(params []float64, photo int) *cameraParams {
	return (*cameraParams)(params[photo*nCamera:])
}

// correction is that of a photo in the solution. The left-out errors of its chart stay those of the photo alone.
func (f *jointProblem) correction(photo int, params []float64, alone *Correction, posterior *mat.SymDense) *Correction {
	c := &Correction{light: alone.light, known: alone.known + len(f.photos[photo].ties), leftOut: alone.leftOut, posterior: posterior}
	c.params = *f.photoParams(params, photo)
	for _, s := range f.photos[photo].samples {
		c.samples = append(c.samples, s.Sample)
	}
	c.residuals = residualsOf(&c.params, c.samples)
	if alone.table != nil {
		c.table = newTable(&c.params, &c.residuals)
	}
	return c
}

// tieColours are the fitted colours of the tie points.
func (f *jointProblem) tieColours(params []float64) (all []colour.Lab) {
	for i := range f.ties {
		at := f.atTies + 3*i
		all = append(all, colour.Lab{L: params[at], A: params[at+1], B: params[at+2]})
	}
	return all
}

func (f *jointProblem) reports(params []float64) []TieReport {
	all := make([]TieReport, len(f.ties))
	for i, t := range f.ties {
		all[i] = TieReport{Name: t.name, Photos: t.photos}
	}
	fitted := f.tieColours(params)
	for photo := range f.photos {
		p := f.photoParams(params, photo)
		for _, o := range f.photos[photo].ties {
			all[o.tie].Off = append(all[o.tie].Off, colour.DeltaE2000(fitted[o.tie], o.corrected(p)))
		}
	}
	return all
}
