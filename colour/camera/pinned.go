package camera

import (
	"gonum.org/v1/gonum/mat"

	"huewright/colour"
)

// pins are colours about which a camera's misfit is known to be small, as it shows them beside a chart or tied to one. Elsewhere
// they say the more of it the more alike a colour is to one of them.
//
// Source of the method: Rasmussen, Williams (2006), Gaussian Processes for Machine Learning, chapter 2.
type pins struct {
	misfit     *cameraMisfit
	at         []colour.Lab
	saturation [][3]float64
	known      *mat.SymDense // inverse covariance of the misfits at the pins and of what a patch is off by
}

// newPins pins the misfit that is learned of cameras; c is the correction of one of the camera's photos. It is nil where there are none.
func newPins(c *Correction, at []colour.Lab) *pins {
	if len(at) == 0 {
		return nil
	}
	p := &pins{at: at, misfit: priorOf(c.light).misfit}
	for _, l := range at {
		p.saturation = append(p.saturation, c.saturationSlope(l))
	}
	covariance := mat.NewSymDense(3*len(at), nil)
	for i, l := range at {
		row := p.covariance(l, p.saturation[i])
		for a := range 3 {
			for k := 3*i + a; k < 3*len(at); k++ {
				covariance.SetSym(3*i+a, k, row.At(a, k))
			}
			off := residualSD * discount(l)
			covariance.SetSym(3*i+a, 3*i+a, covariance.At(3*i+a, 3*i+a)+off*off)
		}
	}
	p.known = inverseOf(covariance)
	return p
}

// covariance is that of the misfit of colour l with those at the pins.
func (p *pins) covariance(l colour.Lab, saturation [3]float64) *mat.Dense {
	cov := mat.NewDense(3, 3*len(p.at), nil)
	for k, at := range p.at {
		for i, row := range p.misfit.covariance(l, at, saturation, p.saturation[k]) {
			for m, v := range row {
				cov.Set(i, 3*k+m, v)
			}
		}
	}
	return cov
}

// lessen takes from the covariance of the misfits of two colours what the pins tell of them.
func (p *pins) lessen(cov *[3][3]float64, a, b colour.Lab, saturationA, saturationB [3]float64) {
	told := propagate(p.covariance(a, saturationA), p.known, p.covariance(b, saturationB))
	for i := range cov {
		for k := range cov {
			cov[i][k] -= told[i][k]
		}
	}
}

// pin pins the misfits of photos without a chart, by the charts that other photos by the same camera show, and by ties to a chart in a
// photo by another.
func (j *Joint) pin(photos []PhotoView, fitted []colour.Lab) {
	hasChart := func(photo int) bool { return len(j.corrections[photo].leftOut) > 0 }
	byCamera := map[string][]colour.Lab{}
	for i, c := range j.corrections {
		if hasChart(i) {
			for _, s := range c.samples {
				byCamera[photos[i].cameraName()] = append(byCamera[photos[i].cameraName()], s.Want)
			}
		}
	}
	for t, tie := range j.ties {
		shown, charted := map[string]bool{}, map[string]bool{}
		for _, photo := range tie.Photos {
			shown[photos[photo].cameraName()] = true
			if hasChart(photo) {
				charted[photos[photo].cameraName()] = true
			}
		}
		for name := range shown {
			if len(charted) > 0 && !charted[name] {
				byCamera[name] = append(byCamera[name], fitted[t])
			}
		}
	}
	pinned := map[string]*pins{}
	for i, c := range j.corrections {
		name := photos[i].cameraName()
		if hasChart(i) {
			continue
		}
		if pinned[name] == nil {
			pinned[name] = newPins(c, byCamera[name])
		}
		c.pins = pinned[name]
	}
}
