package blend

import (
	"fmt"
	"math"
	"strings"

	"huewright/colour"
)

// LearnReport says how well a coating is known.
type LearnReport struct {
	Residuals []Residual // the chip first when there is one, then each test coat
	Warnings  []string

	posterior posterior
}

// A Residual is how far one piece of evidence lies from what was learned.
type Residual struct {
	Of        string // "opaque chip" or "test coat 2"
	Seen      colour.Lab
	Predicted colour.Lab
	DeltaE    float64 // CIEDE2000
	Expected  float64 // standard deviation it was given, CIELAB units
}

// Learn finds the films of one coat of a coating from what is known of it: the most probable
// ones, given the evidence and what paints are like in general. Any evidence at all gives an
// answer; the report's warnings say how far to trust it.
//
// What a reading may be wrong by sets how closely it is followed: 0.7 CIELAB units (one standard
// deviation, each axis) for a test coat and 1.0 for a chip when readings are good to 0.5, more in
// proportion to their PlusMinus as far as it is not shared with the others (see Measured.Photo).
// Where Evidence.Shared tells how several photos agree, readings are followed as closely as the
// photos may be trusted against the one that most readings come from, and the coating is learned
// as that photo shows colours.
//
// It returns an *EvidenceError when there is no evidence or some of it is impossible.
func Learn(name string, kind Kind, e Evidence) (*Coating, LearnReport, error) {
	if !kind.Known() {
		return nil, LearnReport{}, &EvidenceError{name, fmt.Sprintf("%q is no kind of coating", kind),
			"say one of " + strings.Join(Kinds, ", ")}
	}
	if err := e.check(name); err != nil {
		return nil, LearnReport{}, err
	}
	sights := e.sights()
	best := priorOf(kind).fitFromAll(sights, nil)
	spread := whitening(nil).spread(sights)
	if e.Shared != nil {
		white := e.sharedWhitening(sights, &best.at)
		best = priorOf(kind).fitFromAll(sights, white)
		spread = white.spread(sights)
	}
	report := LearnReport{posterior: best}
	for i := range sights {
		report.Residuals = append(report.Residuals, e.residual(i, &sights[i], &best.at, spread[i]))
	}
	report.Warnings = e.warnings(report.Residuals)
	return &Coating{Name: name, Kind: kind, Films: best.at.films()}, report, nil
}

// priorOf returns what to expect of a kind. The figures are wide: their 95 % spans more than a
// factor of 50 either way in absorption. A dye is dissolved and clear, so it is expected to
// scatter twenty times less. Our own starting values, to be replaced by what a log shows.
func priorOf(kind Kind) *prior {
	p := &prior{
		meanK: math.Log(0.2), meanKSD: 2.0, stepK: 1.2,
		meanS: math.Log(0.1), meanSSD: 1.5, stepS: 0.6,
	}
	if kind == "dye" {
		p.meanS = math.Log(0.005)
	}
	return p
}

// fitFromAll fits from several starts, since strong and weak coatings can explain one coat
// nearly equally well, and keeps the best.
func (pr *prior) fitFromAll(sights []sight, white whitening) posterior {
	best := posterior{cost: math.Inf(1)}
	for _, k := range []float64{0.05, 0.2, 0.6} {
		for _, s := range []float64{0.02, 0.1, 0.4} {
			var start point
			for i := range knots {
				start[i], start[knots+i] = math.Log(k), math.Log(s)
			}
			if p := pr.fit(start, sights, white); p.cost < best.cost {
				best = p
			}
		}
	}
	return best
}

// Standard deviations of a residual in CIELAB units when readings are good to goodReading. A test
// coat has two readings, hence √2 times one; a chip is rarely laid like the coats, nor quite opaque.
const (
	goodReading = 0.5
	sdTest      = 0.7
	sdChip      = 1.0
	leastRadius = 0.2 // nobody reads a colour better, whatever is claimed
)

// sights returns the evidence as the fit sees it, the chip first.
func (e *Evidence) sights() []sight {
	var all []sight
	home := e.home()
	if e.Chip != nil {
		all = append(all, sight{seen: e.Chip.Lab, opaque: true, sd: sdChip * e.Chip.ownRadius(home) / goodReading})
	}
	for i := range e.Tests {
		t := &e.Tests[i]
		both := math.Hypot(t.Ground.ownRadius(home), t.Result.ownRadius(home)) / math.Sqrt2
		all = append(all, sight{
			seen: t.Result.Lab, sd: sdTest * both / goodReading,
			ground: colour.SpectrumOf(t.Ground.Lab), coats: t.thickness(),
		})
	}
	return all
}

// ownPart is the part of a reading's radius, beyond goodReading, that is its own and not shared
// with the other readings of its photo: what a photo gets wrong about a wood it gets wrong in
// the same way about the coat on it. Our own choice: on the virtual bench, 40 photos by phones
// with a chart, the radius of a foreseen colour and that of the reading it starts from together
// hold the truth 98 times in 100.
const ownPart = 0.1

// home is the photo that most of the readings come from.
func (e *Evidence) home() string {
	readings := map[string]int{}
	home := ""
	for _, m := range e.readings() {
		if m.Photo == "" {
			continue
		}
		readings[m.Photo]++
		if readings[m.Photo] > readings[home] {
			home = m.Photo
		}
	}
	return home
}

func (e *Evidence) readings() []*Measured {
	var all []*Measured
	if e.Chip != nil {
		all = append(all, e.Chip)
	}
	for i := range e.Tests {
		all = append(all, &e.Tests[i].Ground, &e.Tests[i].Result)
	}
	return all
}

// ownRadius is the part of the uncertainty that is not shared with the readings of the home
// photo.
func (m *Measured) ownRadius(home string) float64 {
	r := m.PlusMinus
	switch {
	case r == 0:
		return goodReading
	case r <= goodReading:
		return max(r, leastRadius)
	case m.Own > 0:
		return math.Hypot(goodReading, m.Own)
	case m.Photo == "" || m.Photo != home:
		return r
	}
	return math.Hypot(goodReading, ownPart*math.Sqrt(r*r-goodReading*goodReading))
}

func (e *Evidence) residual(i int, v *sight, at *point, spread float64) Residual {
	of := i + 1
	if e.Chip != nil {
		of--
	}
	name := fmt.Sprintf("test coat %d", of)
	if v.opaque {
		name = "opaque chip"
	}
	predicted, _ := v.predict(at)
	return Residual{name, v.seen, predicted, colour.DeltaE2000(v.seen, predicted), spread}
}

// PlusMinus returns the 95 % radius, in ΔE00, of what the coating is foreseen to make of a
// ground: how far its colour after coats may be off because too little is known of the coating.
// The hand and the readings to come are not in it. It is a Laplace approximation, and wide rather
// than narrow: with evidence that agrees, measured paints stay within it in 96 to 99 of 100
// cases, see TestPlusMinusCovers. Evidence that contradicts itself widens it by as much as the
// worst of it is missed: what was never seen is not foreseen better than what was.
func (r *LearnReport) PlusMinus(ground colour.Lab, coats float64) float64 {
	v := sight{ground: colour.SpectrumOf(ground), coats: coats}
	return math.Hypot(r.posterior.radius(&v), r.discord())
}
