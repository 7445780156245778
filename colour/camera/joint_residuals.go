package camera

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

func (f *jointProblem) evaluate(params, r []float64, j *mat.Dense) {
	w := newRows(r, j)
	for i := range f.photos {
		f.addSamples(w, params, i)
		f.addTies(w, params, i)
		f.addPhotoPrior(w, params, i)
	}
	for i := range f.cameras {
		f.addCameraPrior(w, params, i)
	}
	for i, s := range f.shared {
		at := f.atShared + 3*i
		for k, want := range [3]float64{s.want.L, s.want.A, s.want.B} {
			w.add((params[at+k] - want) / s.sd)
			w.slope(at+k, 1/s.sd)
		}
	}
}

func (f *jointProblem) addSamples(w *rows, params []float64, photo int) {
	for i := range f.photos[photo].samples {
		s := &f.photos[photo].samples[i]
		weight := s.weight()
		want, wantAt := [3]float64{s.Want.L, s.Want.A, s.Want.B}, -1
		if s.shared >= 0 {
			weight /= perPhotoShare
			wantAt = f.atShared + 3*s.shared
			copy(want[:], params[wantAt:])
		}
		w.sample(f.photoParams(params, photo), &s.Sample, want, weight, photo*nCamera, wantAt)
	}
}

func (f *jointProblem) addTies(w *rows, params []float64, photo int) {
	for i := range f.photos[photo].ties {
		o := &f.photos[photo].ties[i]
		at := f.atTies + 3*o.tie
		o.addTo(w, f.photoParams(params, photo), [3]float64(params[at:]), f.tieNoise, photo*nCamera, at)
	}
}

// addPhotoPrior holds a photo's gains to what phones do, and the rest to its camera. Both apply
// to the recorded light, before the camera's own bend is undone.
//
// Note: applied after it, they would be least with all of a camera's photos bent to one flat grey.
func (f *jointProblem) addPhotoPrior(w *rows, params []float64, photo int) {
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
	own := f.photos[photo].perPhoto.deviations()
	mixed := &f.photos[photo].mixing
	for k := atBend; k < nCamera; k++ {
		scale, expected := 1/own[k], 0.0
		if k < atField {
			scale *= steep
		}
		if row, term := (k-atMatrix)/nTerms, (k-atMatrix)%nTerms; k >= atMatrix && term < 3 {
			scale, expected = 1/math.Hypot(own[k], mixed.sd), mixed.expected[row][term]
		}
		off := (params[at+k] - params[camera+k] - expected) * scale
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
			sum += params[at+k] - identity[k]
		}
		w.add(sum / greySD)
		for k := atMatrix + i*nTerms; k < atMatrix+(i+1)*nTerms; k++ {
			w.slope(at+k, 1/greySD)
		}
	}
}

// addCameraPrior holds what a camera does in all of its photos to what cameras do. A camera has
// no gains and no light field of its own: those are held to 0.
func (f *jointProblem) addCameraPrior(w *rows, params []float64, camera int) {
	at, prior := f.atCameras+camera*nCamera, &f.cameras[camera]
	white := prior.tones.whitening()
	w.tones(params[at+atBend:at+atField], &prior.tones.mean, &white, at+atBend)
	for k, sd := range prior.deviations() {
		switch {
		case k >= atBend && k < atField:
			continue
		case k < atMatrix:
			sd = 1e-3
		}
		w.add((params[at+k] - identity[k]) / sd)
		w.slope(at+k, 1/sd)
	}
}
