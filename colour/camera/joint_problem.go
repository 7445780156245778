package camera

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// How one photo of a camera differs from the next: the software bends tones and pushes
// colours a little by what it takes the scene to be. Gains are the photo's own altogether.
// Our own choice; no source gives such figures.
var ownPrior = cameraPrior{bend: 0.06, field: 0.12, prim: 0.005, root: 0.003}

// statedBend is how much the bend of one photo may stray from its camera's where it is said how
// far the photos can be trusted. A phone's curve makes more of what differs between photos in some
// tones and less in others, which one bend cannot follow: with that of the fit, drawn photos tied
// by a slip alone lay within what was stated of them in 82 % instead of 95.
const statedBend = 0.09

// tiedPrior is that of a camera of which no photo shows anything known. Ties cannot tell what
// the camera does to tones in all of its photos alike, only what differs between them; left
// wide, its bend takes up what belongs to single photos.
var tiedPrior = func() cameraPrior {
	p := cardPrior
	p.bend = 0.1
	return p
}()

// ownShare is the part of a patch's deviation that is each photo's own, where two photos show
// the same patch; the rest is the patch's: print tolerance, fading. Our own choice.
const ownShare = 0.6

// A jointProblem is the fit of several photos as least squares. The parameters are, in this
// order: the camera model of each photo; what each camera does in all of its photos; Lab of
// each tie, and of each known surface that two photos show.
type jointProblem struct {
	photos  []jointPhoto
	cameras []cameraPrior
	ties    []jointTie
	common  []commonSurface

	atCameras, atTies, atCommon int // where each begins among the parameters
	residuals, parameters       int

	own cameraPrior
}

type jointPhoto struct {
	camera  int
	start   cameraParams
	gains   cameraPrior // gain and exposure only
	samples []jointSample
	sights  []jointSight
}

type jointSample struct {
	Sample
	common int // surface; −1 when no other photo shows it
}

type jointTie struct {
	name   string
	photos []int
	start  colour.Lab
}

type commonSurface struct {
	want colour.Lab
	sd   float64
}

func newJointProblem(photos []PhotoView, alone []*Correction) *jointProblem {
	f := &jointProblem{photos: make([]jointPhoto, len(photos)), own: ownPrior}
	cameras := map[string]int{}
	for i := range photos {
		p := &f.photos[i]
		name := photos[i].Camera
		if _, known := cameras[name]; !known {
			cameras[name] = len(f.cameras)
			f.cameras = append(f.cameras, tiedPrior)
		}
		p.camera = cameras[name]
		p.start = alone[i].params
		p.gains = nothingPrior
		if alone[i].known > 0 {
			p.gains = cameraPrior{gain: cardPrior.gain}
			f.cameras[p.camera].bend = cardPrior.bend
		}
		if alone[i].known >= leastForResiduals {
			f.cameras[p.camera] = chartPrior
		}
	}
	f.gatherSamples(photos)
	f.gatherTies(photos, alone)
	f.atCameras = len(photos) * nCamera
	f.atTies = f.atCameras + len(f.cameras)*nCamera
	f.atCommon = f.atTies + 3*len(f.ties)
	f.parameters = f.atCommon + 3*len(f.common)
	f.residuals = 3*len(f.common) + len(f.cameras)*nCamera
	for i := range f.photos {
		p := &f.photos[i]
		f.residuals += 3*len(p.samples) + 3*len(p.sights) + photoPriorTerms
	}
	return f
}

// photoPriorTerms is how many residuals hold a photo to its prior: one a parameter, one more
// for exposure, and one a row of B for its sum.
const photoPriorTerms = nCamera + 1 + 3

func (f *jointProblem) gatherSamples(photos []PhotoView) {
	type surface struct {
		name string
		want colour.Lab
	}
	shown := map[surface]int{}
	for i := range photos {
		for _, s := range photos[i].Known {
			if s.Skip == "" {
				shown[surface{s.Name, s.Want}]++
			}
		}
	}
	number := map[surface]int{}
	for i := range photos {
		for _, s := range photos[i].Known {
			if s.Skip != "" {
				continue
			}
			key, common := surface{s.Name, s.Want}, -1
			if shown[key] > 1 {
				n, numbered := number[key]
				if !numbered {
					n = len(f.common)
					number[key] = n
					f.common = append(f.common, commonSurface{s.Want, math.Sqrt(1-ownShare*ownShare) / s.weight()})
				}
				common = n
			}
			f.photos[i].samples = append(f.photos[i].samples, jointSample{s, common})
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
				continue // seen once it says nothing
			}
			seen := alone[i].params.xyz(t.Camera, Position{}).Lab()
			corrected := alone[i].residuals.correct(seen)
			left := colour.Lab{L: corrected.L - seen.L, A: corrected.A - seen.A, B: corrected.B - seen.B}
			f.photos[i].sights = append(f.photos[i].sights, jointSight{t, tie, left})
			share := 1 / float64(len(f.ties[tie].photos))
			start := &f.ties[tie].start
			*start = colour.Lab{L: start.L + share*corrected.L, A: start.A + share*corrected.A, B: start.B + share*corrected.B}
		}
	}
}

// start is each photo as it is by itself, and each tie the mean of what the photos show.
func (f *jointProblem) start() []float64 {
	params := make([]float64, 0, f.parameters)
	for i := range f.photos {
		params = append(params, f.photos[i].start[:]...)
	}
	for range f.cameras {
		params = append(params, sRGBAtItsWord[:]...)
	}
	for _, t := range f.ties {
		params = append(params, t.start.L, t.start.A, t.start.B)
	}
	for _, s := range f.common {
		params = append(params, s.want.L, s.want.A, s.want.B)
	}
	return params
}

func (f *jointProblem) photoParams(params []float64, photo int) *cameraParams {
	return (*cameraParams)(params[photo*nCamera:])
}

// rows fills residuals and their derivatives one after the other.
type rows struct {
	r    []float64
	j    *mat.Dense // nil when only residuals are asked for
	next int
}

func (w *rows) add(residual float64) { w.r[w.next] = residual; w.next++ }

// slope is the derivative of the residual added last.
func (w *rows) slope(parameter int, v float64) {
	if w.j != nil {
		w.j.Set(w.next-1, parameter, v)
	}
}

func (f *jointProblem) evaluate(params, r []float64, j *mat.Dense) {
	if j != nil {
		j.Zero()
	}
	w := &rows{r: r, j: j}
	for i := range f.photos {
		f.samples(w, params, i)
		f.sights(w, params, i)
		f.photoPrior(w, params, i)
	}
	for i := range f.cameras {
		f.cameraPrior(w, params, i)
	}
	for i, s := range f.common {
		at := f.atCommon + 3*i
		for k, want := range [3]float64{s.want.L, s.want.A, s.want.B} {
			w.add((params[at+k] - want) / s.sd)
			w.slope(at+k, 1/s.sd)
		}
	}
}

func (f *jointProblem) samples(w *rows, params []float64, photo int) {
	p := f.photoParams(params, photo)
	for i := range f.photos[photo].samples {
		s := &f.photos[photo].samples[i]
		lab, slopes := p.sensitivity(s.Camera, s.At, w.j != nil)
		weight := s.weight()
		want, at := [3]float64{s.Want.L, s.Want.A, s.Want.B}, -1
		if s.common >= 0 {
			weight /= ownShare
			at = f.atCommon + 3*s.common
			copy(want[:], params[at:])
		}
		w.miss(lab, want, weight, photo*nCamera, &slopes, at)
	}
}

func (f *jointProblem) sights(w *rows, params []float64, photo int) {
	p := f.photoParams(params, photo)
	for i := range f.photos[photo].sights {
		s := &f.photos[photo].sights[i]
		at := f.atTies + 3*s.tie
		s.miss(w, p, [3]float64(params[at:]), photo*nCamera, at)
	}
}

// miss adds how far a predicted colour is from what it should be; that stands among the
// parameters when at is not negative.
func (w *rows) miss(lab colour.Lab, want [3]float64, weight float64, from int, slopes *[3][nCamera]float64, at int) {
	for k, got := range [3]float64{lab.L, lab.A, lab.B} {
		w.add(weight * (got - want[k]))
		for m, v := range slopes[k] {
			w.slope(from+m, weight*v)
		}
		if at >= 0 {
			w.slope(at+k, -weight)
		}
	}
}

// stated is the inverse covariance of what a solution leaves open, for what is said of it.
func (f *jointProblem) stated(params []float64) *mat.SymDense {
	wide := *f
	wide.own.bend = statedBend
	residuals := make([]float64, f.residuals)
	slopes := mat.NewDense(f.residuals, f.parameters, nil)
	wide.evaluate(params, residuals, slopes)
	normal := mat.NewSymDense(f.parameters, nil)
	normal.SymOuterK(1, slopes.T())
	return normal
}

// photoPrior holds a photo's gains to what phones do, and the rest to its camera. Both are
// what happened to the recorded light, before the camera's own bend is undone.
//
// Note: left as they stand after it, they would be least with all of a camera's photos bent
// to one flat grey.
func (f *jointProblem) photoPrior(w *rows, params []float64, photo int) {
	at, camera := photo*nCamera, f.atCameras+f.photos[photo].camera*nCamera
	steep := 1 / max(1+params[camera+atBend], 0.1)
	gains := &f.photos[photo].gains
	mean := (params[at] + params[at+1] + params[at+2]) / 3
	all := steep * math.Sqrt(3/(gains.gain*gains.gain+3*gains.exposure*gains.exposure))
	one := steep / gains.gain
	w.add(mean * all)
	for k := range 3 {
		w.slope(at+k, all/3)
	}
	w.slope(camera+atBend, -steep*mean*all)
	for i := range 3 {
		off := (params[at+i] - mean) * one
		w.add(off)
		for k := range 3 {
			w.slope(at+k, -one/3)
		}
		w.slope(at+i, one*2/3)
		w.slope(camera+atBend, -steep*off)
	}
	own := f.own.deviations()
	for k := atBend; k < nCamera; k++ {
		scale := 1 / own[k]
		if k < atField {
			scale *= steep
		}
		off := (params[at+k] - params[camera+k]) * scale
		w.add(off)
		w.slope(at+k, scale)
		if k < atField {
			w.slope(camera+atBend, -steep*off)
			if k == atBend {
				w.slope(camera+k, -steep*off-scale)
				continue
			}
		}
		w.slope(camera+k, -scale)
	}
	for i := range 3 {
		sum := 0.0
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			sum += params[at+k] - sRGBAtItsWord[k]
		}
		w.add(sum / greySD)
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			w.slope(at+k, 1/greySD)
		}
	}
}

// cameraPrior holds what a camera does in all of its photos to what cameras do. A camera has
// no gains and no light field of its own: those are held to nothing at all.
func (f *jointProblem) cameraPrior(w *rows, params []float64, camera int) {
	at := f.atCameras + camera*nCamera
	for k, sd := range f.cameras[camera].deviations() {
		if k < atBend || k >= atField && k < atMatrix {
			sd = 1e-3
		}
		w.add((params[at+k] - sRGBAtItsWord[k]) / sd)
		w.slope(at+k, 1/sd)
	}
}

// correction is a photo's part of the solution. Where it shows a chart, what the chart says
// of the errors stands.
func (f *jointProblem) correction(photo int, params []float64, alone *Correction, p *jointPosterior) *Correction {
	c := &Correction{known: alone.known + len(f.photos[photo].sights), leftOut: alone.leftOut}
	c.params = *f.photoParams(params, photo)
	samples := make([]Sample, len(f.photos[photo].samples))
	for i, s := range f.photos[photo].samples {
		samples[i] = s.Sample
	}
	c.samples = samples
	c.residuals = residualsOf(&c.params, samples)
	c.posterior = p.of(photo)
	if alone.quick != nil {
		c.quick = c.tabulate()
	}
	return c
}

func (f *jointProblem) reports(params []float64) []TieReport {
	all := make([]TieReport, len(f.ties))
	for i, t := range f.ties {
		lab := params[f.atTies+3*i:]
		all[i] = TieReport{Name: t.name, Lab: colour.Lab{L: lab[0], A: lab[1], B: lab[2]}, Photos: t.photos}
	}
	for photo := range f.photos {
		p := f.photoParams(params, photo)
		for _, s := range f.photos[photo].sights {
			all[s.tie].Off = append(all[s.tie].Off, colour.DeltaE2000(all[s.tie].Lab, s.corrected(p)))
		}
	}
	return all
}
