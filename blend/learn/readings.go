package learn

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/spectra"
)

// readings are all colours that were measured of a piece, each once, and what may be wrong about
// them. What the home photo itself gets wrong is left out: coatings are learned, and coats
// counted, as that photo shows colours, so that it cancels.
type readings struct {
	// home is the photo that most of the evidence comes from: were it another, films would be
	// known no better than the photos agree, and what to expect of paints would move the photos.
	home string
	all  []Measured
	at   map[Measured]int // by identity
	// off is the covariance of the errors: three rows, L*, a*, b*, for each reading.
	off *mat.SymDense
	// alike is how much the deviations of two readings' spectra from the guess go together.
	alike  *mat.SymDense
	ground []spectra.Prior
}

// read gathers measured colours, in an order that does not depend on theirs: those that coatings
// are learned from, and others.
func read(evidence, others []Measured, shared func(a, b Measured) [3][3]float64) *readings {
	r := &readings{at: map[Measured]int{}, home: cmp.Or(home(evidence), home(others))}
	for _, m := range slices.Concat(evidence, others) {
		if _, known := r.at[m.identity()]; !known {
			r.at[m.identity()] = 0
			r.all = append(r.all, m)
		}
	}
	slices.SortFunc(r.all, func(a, b Measured) int {
		return cmp.Or(cmp.Compare(a.Photo, b.Photo), cmp.Compare(a.Lab.L, b.Lab.L), cmp.Compare(a.Lab.A, b.Lab.A),
			cmp.Compare(a.Lab.B, b.Lab.B), cmp.Compare(a.PlusMinus, b.PlusMinus),
			cmp.Compare(a.Own, b.Own), compareBools(a.Earlier, b.Earlier), cmp.Compare(a.Key, b.Key))
	})
	for i, m := range r.all {
		r.at[m.identity()] = i
	}
	if len(r.all) == 0 {
		return r
	}
	r.ground = make([]spectra.Prior, len(r.all))
	r.off = r.errors(shared)
	r.alike = mat.NewSymDense(len(r.all), nil)
	for i := range r.all {
		r.ground[i] = spectra.PriorOf(r.all[i].Lab)
		for k := i; k < len(r.all); k++ {
			r.alike.SetSym(i, k, spectra.Correlation(r.all[i].Lab, r.all[k].Lab))
		}
	}
	return r
}

// identity is what tells readings apart: the key, or, without one, all that is known of the reading.
func (m Measured) identity() Measured {
	if m.Key != "" {
		return Measured{Key: m.Key}
	}
	return m
}

// of is the place of a reading among all.
func (r *readings) of(m Measured) int { return r.at[m.identity()] }

// compareBools puts false before true.
func compareBools(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// home is the photo that most readings come from; of several, the first by name.
func home(measured []Measured) string {
	count := map[string]int{}
	best := ""
	for _, m := range measured {
		if m.Photo == "" || m.Earlier {
			continue
		}
		count[m.Photo]++
	}
	for photo, n := range count {
		if best == "" || n > count[best] || n == count[best] && photo < best {
			best = photo
		}
	}
	return best
}

// errors is the covariance of what the readings show otherwise than the home photo would have
// shown them, and of what each has wrong by itself. Where a colour comes from no photo, all that
// is wrong about the home photo stands between them.
func (r *readings) errors(shared func(a, b Measured) [3][3]float64) *mat.SymDense {
	if shared == nil {
		shared = sharedByPhoto
	}
	between := func(a, b Measured) (cov [3][3]float64) {
		if a.Photo == "" || b.Photo == "" {
			return cov
		}
		if a.Earlier || b.Earlier {
			return sharedByPhoto(a, b)
		}
		return shared(a, b)
	}
	off := mat.NewSymDense(3*len(r.all), nil)
	for i, m := range r.all {
		mh := m
		mh.Photo = r.home
		for k := i; k < len(r.all); k++ {
			o := r.all[k]
			oh := o
			oh.Photo = r.home
			var cov [3][3]float64
			if m.Photo != r.home && o.Photo != r.home {
				mo, mi, oi, hh := between(m, o), between(m, oh), between(mh, o), between(mh, oh)
				for a := range 3 {
					for b := range 3 {
						cov[a][b] = mo[a][b] - mi[a][b] - oi[a][b] + hh[a][b]
					}
				}
			}
			for a := range 3 {
				for b := range 3 {
					if i != k || a <= b {
						off.SetSym(3*i+a, 3*k+b, cov[a][b])
					}
				}
			}
		}
		own := m.own()
		for a := range 3 {
			off.SetSym(3*i+a, 3*i+a, max(0, off.At(3*i+a, 3*i+a))+own*own)
		}
	}
	return off
}

const (
	goodReading = 0.5 // standard deviation of a good reading in each of L*, a*, b*
	leastOff    = 0.2 // nobody reads a colour better, whatever is claimed
	// inRadius is about how many ΔE00 the 95 % radius is of errors that have a standard
	// deviation of 1 in each of L*, a*, b*, at the chroma of wood.
	inRadius = 2.0
	// ownPart is the part of a reading's radius, beyond a good reading's, that is its own and
	// not shared with the other readings of its photo: what a photo gets wrong about a wood it
	// gets wrong in the same way about the coat on it. Our own choice: on the virtual bench, 40
	// photos by phones with a chart, the radius of a foreseen colour and that of the reading it
	// starts from together hold the truth 98 times in 100.
	ownPart = 0.1
)

// own is the standard deviation, in each of L*, a*, b*, of what a reading has wrong by itself.
func (m *Measured) own() float64 {
	switch r := m.PlusMinus; {
	case r == 0:
		return goodReading
	case m.Own > 0:
		return math.Hypot(goodReading, m.Own/inRadius)
	case r <= goodReading:
		return max(r, leastOff)
	case m.Photo == "":
		return math.Hypot(goodReading, m.beyond()/inRadius)
	default:
		return math.Hypot(goodReading, ownPart*m.beyond()/inRadius)
	}
}

// beyond is what the uncertainty of a reading has beyond a good reading's: a 95 % radius.
func (m *Measured) beyond() float64 {
	return math.Sqrt(max(0, m.PlusMinus*m.PlusMinus-goodReading*goodReading))
}

// sharedByPhoto is what two readings have wrong together when nothing is known of their photos
// but which they are: all that is not a reading's own, in readings of one photo. Where Own is
// told and nothing else, the photos are taken at their word.
func sharedByPhoto(a, b Measured) (cov [3][3]float64) {
	if a.Photo != b.Photo || a.Earlier != b.Earlier || a.Own > 0 || b.Own > 0 {
		return cov
	}
	part := func(m *Measured) float64 { return math.Sqrt(1-ownPart*ownPart) * m.beyond() / inRadius }
	for i := range cov {
		cov[i][i] = part(&a) * part(&b)
	}
	return cov
}

// spread is the covariance of two readings' errors.
func (r *readings) spread(i, k int) (cov [3][3]float64) {
	for a := range 3 {
		for b := range 3 {
			cov[a][b] = r.off.At(3*i+a, 3*k+b)
		}
	}
	return cov
}
