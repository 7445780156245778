package learn

import (
	"context"
	"math/rand/v2"
	"sync"

	"gonum.org/v1/gonum/mat"

	"huewright/colour/spectra"
	"huewright/internal/parallel"
)

// Options changes how samples are drawn.
type Options struct {
	Draws int    // 0 means 64
	Seed  uint64 // 0 means a fixed one: the same dataset gives the same samples
}

const defaultSeed = 1948

// Draw returns samples of the posterior distribution and the central one. All readings count together: the error
// of a photo is drawn once for all of its readings, of test coats and of the piece. The order of coatings and of
// colours changes the last digits only.
//
// A test coat is followed as closely as its two readings, the application variability and the spectrum of its
// ground are sure; an opaque chip, which is rarely laid like the coats nor quite opaque, less closely by 0.87 in
// each of L*, a*, b*.
//
// It returns a fault for a coating without evidence and for impossible values.
func (d *Dataset) Draw(ctx context.Context, opt Options) (*Samples, error) {
	f, err := d.solve(ctx)
	if err != nil {
		return nil, err
	}
	if opt.Draws == 0 {
		opt.Draws = 64
	}
	if opt.Seed == 0 {
		opt.Seed = defaultSeed
	}
	samples, err := f.draw(ctx, opt.Draws, opt.Seed)
	if err != nil {
		return nil, err
	}
	return &Samples{Best: f.central(), Drawn: samples, Reports: f.reports}, nil
}

// central returns the most probable sample.
//
// Note: the mean of the draws was tried and left. Where the surface of the coats is not known it is no sample that the
// evidence allows: of 330 counts on measured paints it found 80 in 100, this one 88.
func (f *solution) central() Sample {
	errors := newReadingErrors(len(f.readings.all))
	f.condition(&errors, f.posterior.at, nil, f.scratch())
	return f.sample(&posteriorDraw{f.posterior.at, errors})
}

// A sampler draws from the posterior distribution of a solution.
type sampler struct {
	*solution
	seed             uint64
	errorFactor      mat.TriDense // Cholesky factor of the covariance of the readings' errors
	similarityFactor mat.TriDense // and of the similarity of their spectra
	filmFactor       mat.TriDense // and of the logarithms of the observations' films
}

// draw returns so many draws and the samples they make. Each has a random stream of its own; draws 2n and 2n+1 are
// antithetic pairs, with opposite deviates, so that the mean of all carries less noise.
func (f *solution) draw(ctx context.Context, draws int, seed uint64) ([]Sample, error) {
	s := sampler{solution: f, seed: seed}
	if len(f.readings.all) > 0 {
		lowerFactor(&s.errorFactor, f.readings.covariance)
		lowerFactor(&s.similarityFactor, f.readings.similarity)
	}
	if len(f.observations) > 0 {
		lowerFactor(&s.filmFactor, f.films)
	}
	samples := make([]Sample, draws)
	pool := sync.Pool{New: func() any { return f.scratch() }} // one for each that draws at a time
	if err := parallel.For(ctx, draws, func(i int) {
		work := pool.Get().(*scratch)
		defer pool.Put(work)
		drawn := s.draw(ctx, i, work)
		samples[i] = f.sample(&drawn)
		samples[i].variability = f.dataset.Bias.widening()
		samples[i].Seed = rand.New(rand.NewPCG(seed, uint64(i))).Uint64() | 1
	}); err != nil {
		return nil, err
	}
	return samples, nil
}

// draw makes draw i by randomize-then-optimize: reading errors, observations and prior means are perturbed as their
// distributions have it, and the problem is fitted again. Where predictions are linear in the unknowns the draws
// follow the posterior exactly; elsewhere they follow its bend, which draws from a Laplace approximation would not.
//
// Source: Bardsley, Solonen, Haario, Laine (2014), Randomize-then-optimize, SIAM J. Sci. Comput.
// 36(4), A1895–A1910; cited from memory.
func (s *sampler) draw(ctx context.Context, i int, work *scratch) posteriorDraw {
	stream := func(names ...string) *deviates {
		scale := (1 - 2*float64(i%2)) * s.dataset.Bias.widening()
		return &deviates{rand.New(rand.NewPCG(s.seed+uint64(i/2), SeedOf(names...))), scale}
	}
	errors := s.drawErrors(stream("readings"))
	shift := perturbation{seen: make([]float64, s.rows)}
	for k := range s.components {
		d := stream(append([]string{"part"}, s.name(k)...)...)
		for range s.priors[k].rows {
			shift.prior = append(shift.prior, d.next())
		}
	}
	tests, films := make([]*deviates, len(s.components)), make([]float64, len(s.observations))
	for n := range s.observations {
		k := s.component[n]
		if tests[k] == nil {
			tests[k] = stream(append([]string{"tests"}, s.name(k)...)...)
		}
		films[n] = tests[k].next()
		s.perturb(n, &errors, films, tests[k], shift.seen)
	}
	fit := s.fit(ctx, s.posterior.at, s.whitening, &shift, work)
	s.condition(&errors, fit.at, &shift, work)
	return posteriorDraw{fit.at, errors}
}

// drawErrors draws reading errors from their prior distribution.
func (s *sampler) drawErrors(d *deviates) readingErrors {
	n := len(s.readings.all)
	errors := newReadingErrors(n)
	if n == 0 {
		return errors
	}
	z := mat.NewVecDense(3*n, nil)
	for i := range 3 * n {
		z.SetVec(i, d.next())
	}
	errors.lab.MulVec(&s.errorFactor, z)
	independent := mat.NewDense(n, spectra.Modes, nil)
	for i := range n {
		for k := range spectra.Modes {
			independent.Set(i, k, d.next())
		}
	}
	errors.modes.Mul(&s.similarityFactor, independent)
	return errors
}

// perturb writes to seen the change of observation n caused by reading errors, application variability and misfit. films
// are the deviates of the films up to that of n.
func (s *sampler) perturb(n int, errors *readingErrors, films []float64, d *deviates, seen []float64) {
	v, by := &s.observations[n], &s.jacobian[n]
	logFilm := 0.0
	for i := range n + 1 {
		logFilm += s.filmFactor.At(n, i) * films[i]
	}
	for c := range 3 {
		sum := errors.lab.AtVec(3*v.reading+c) + v.misfit*d.next()
		if v.substrate >= 0 {
			sum += by.film[c] * logFilm
			for a := range 3 {
				sum -= by.ground[c][a] * errors.lab.AtVec(3*v.substrate+a)
			}
			for m := range spectra.Modes {
				sum += by.mode[c][m] * errors.modes.At(v.substrate, m)
			}
		}
		seen[3*n+c] = sum
	}
}

// lowerFactor computes the lower Cholesky factor of a covariance, adding a little to the diagonal of a singular one.
func lowerFactor(t *mat.TriDense, covariance *mat.SymDense) {
	n := covariance.SymmetricDim()
	lifted := mat.NewSymDense(n, nil)
	lifted.CopySym(covariance)
	var factor mat.Cholesky
	for lift := 1e-9; !factor.Factorize(lifted); lift *= 10 {
		for i := range n {
			lifted.SetSym(i, i, covariance.At(i, i)*(1+lift)+lift)
		}
	}
	factor.LTo(t)
}

// deviates is a stream of normal deviates times a scale, which is negative in the second of an antithetic pair.
type deviates struct {
	rng   *rand.Rand
	scale float64
}

func (d *deviates) next() float64 { return d.scale * d.rng.NormFloat64() }
