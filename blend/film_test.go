package blend

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Published worked examples of Kubelka's equation, with half a unit of thickness; reflectances are
// given to six decimals.
func TestFilmOverPublished(t *testing.T) {
	for _, c := range []struct {
		film         Film
		ground, want float64
	}{
		{Film{0.2, 0.124}, 0.65, 0.541596},
		{Film{0.1, 0.658}, 0.2, 0.343822},
		{Film{0.22, 0.123}, 0.2146, 0.206651},
	} {
		require.InDelta(t, c.want, c.film.Over(c.ground, 0.5), 5e-7, "%+v", c)
	}
}

// The first published film laid again and again; our own figures, worked apart from this code.
func TestFilmCoatByCoat(t *testing.T) {
	f := Film{0.2, 0.124}.Times(0.5)
	r := 0.65
	for i, want := range []float64{
		0.541596, 0.457704, 0.393460, 0.344657, 0.307809, 0.280117, 0.259378, 0.243887,
	} {
		r = f.Over(r, 1)
		require.InDelta(t, want, r, 5e-7)
		require.InDelta(t, want, f.Over(0.65, float64(i+1)), 5e-7)
	}
	require.InDelta(t, 0.198931, f.Limit(), 5e-7)
}

func TestFilmOverLimits(t *testing.T) {
	some := Film{0.3, 0.2}
	for _, ground := range []float64{0, 0.04, 0.3, 0.7, 1} {
		require.Equal(t, ground, some.Over(ground, 0), "no coats")
		require.Equal(t, ground, Film{}.Over(ground, 7), "a film that cannot be seen")
		require.InDelta(t, ground*math.Exp(-2*0.3*1.7), Film{K: 0.3}.Over(ground, 1.7), 1e-15,
			"Beer and Lambert: a dye absorbs on the way in and on the way out")
		require.InDelta(t, some.Limit(), some.Over(ground, 200), 1e-15, "hiding")
		white := Film{S: 0.4}.Over(ground, 3)
		require.InDelta(t, (ground+1.2*(1-ground))/(1+1.2*(1-ground)), white, 1e-15, "pure white")
		require.InDelta(t, some.Limit(), some.Over(some.Limit(), 2.5), 1e-15, "its own limit stays")
	}
	require.InDelta(t, 0.4*3/(1+0.4*3), Film{S: 0.4}.Over(0, 3), 1e-15, "white over black: SX/(1+SX)")
	require.Equal(t, 1.0, Film{S: 0.4}.Limit())
	require.Equal(t, 0.0, Film{K: 0.4}.Limit())
	require.True(t, math.IsNaN(Film{}.Limit()), "an invisible film never hides")
	ks := 0.3 / 0.2
	require.InDelta(t, 1+ks-math.Sqrt(ks*ks+2*ks), some.Limit(), 1e-15, "Kubelka and Munk's R∞")
}

// Where the two ways to tanh(αn)/α meet, neither may show.
func TestFilmSmoothWhereSeriesEnds(t *testing.T) {
	f := Film{1e-3, 2e-3}
	n := math.Sqrt(1e-5 / (f.K * (f.K + 2*f.S)))
	below, above := f.effective(n*(1-1e-12)), f.effective(n*(1+1e-12))
	require.InEpsilon(t, below, above, 1e-11)
	require.InDelta(t, f.Over(0.5, n*(1-1e-12)), f.Over(0.5, n*(1+1e-12)), 1e-13)
}

func TestFilmPanicsOnProgrammersMistakes(t *testing.T) {
	nan := math.NaN()
	for name, call := range map[string]func(){
		"ground above 1":   func() { Film{1, 1}.Over(1.01, 1) },
		"ground below 0":   func() { Film{1, 1}.Over(-0.01, 1) },
		"ground NaN":       func() { Film{1, 1}.Over(nan, 1) },
		"negative coats":   func() { Film{1, 1}.Over(0.5, -1) },
		"NaN coats":        func() { Film{1, 1}.Over(0.5, nan) },
		"endless coats":    func() { Film{1, 1}.Over(0.5, math.Inf(1)) },
		"negative K":       func() { Film{-1, 1}.Over(0.5, 1) },
		"NaN S":            func() { Film{1, nan}.Limit() },
		"infinite scatter": func() { Film{1, math.Inf(1)}.Limit() },
	} {
		require.Panics(t, call, name)
	}
}

// within maps any number onto 0 to most, which is beyond any paint; what lies there stays as it is.
func within(v, most float64) float64 {
	if v = math.Abs(v); v <= most {
		return v
	}
	if v = math.Mod(v, most); math.IsNaN(v) { // of what is no number, or endless
		return most
	}
	return v
}

// FuzzFilmOver holds that x coats and then y coats are x+y coats, that what is reflected stays
// between the ground and the limit, and that it moves towards the limit only.
func FuzzFilmOver(f *testing.F) {
	f.Add(0.2, 0.124, 0.65, 0.5, 1.5)
	f.Add(0.0, 3.0, 0.0, 1e-9, 40.0)
	f.Add(1e-7, 1e-9, 1.0, 0.3, 12.0)
	f.Add(50.0, 1e-3, 1.0, 10.0, 10.0)
	f.Fuzz(func(t *testing.T, k, s, ground, x, y float64) {
		k, s, x, y, ground = within(k, 100), within(s, 100), within(x, 100), within(y, 100), within(ground, 1)
		film := Film{k, s}
		first, both := film.Over(ground, x), film.Over(ground, x+y)
		require.InDelta(t, both, film.Over(first, y), 1e-9)
		if limit := film.Limit(); !math.IsNaN(limit) {
			const rounding = 1e-12
			low, high := min(ground, limit)-rounding, max(ground, limit)+rounding
			require.True(t, first >= low && first <= high, "%v is not between %v and %v", first, ground, limit)
			require.LessOrEqual(t, math.Abs(both-limit), math.Abs(first-limit)+rounding)
		}
	})
}

// Squares of such films and thicknesses leave the range of float64. They once came out as the
// bare ground, or as no number.
func TestFilmFarBeyondPaint(t *testing.T) {
	for _, c := range []struct {
		film                Film
		ground, coats, want float64
	}{
		{Film{K: 1e200}, 0.5, 1, 0},
		{Film{K: 1e200, S: 1e200}, 0.5, 1, 2 - math.Sqrt(3)},
		{Film{K: 1e160, S: 1}, 0.5, 1, 0},
		{Film{K: 1e-200, S: 1e-200}, 0.3, 1e308, 2 - math.Sqrt(3)},
		{Film{K: 1e-200, S: 1e-200}, 0.3, 1, 0.3},
		{Film{S: 10}, 0.3, 1e308, 1},
		{Film{S: 10}, 1, 1e308, 1},
		{Film{K: 10}, 1, 1e308, 0},
	} {
		require.InDelta(t, c.want, c.film.Over(c.ground, c.coats), 1e-12, "%+v", c)
	}
}
