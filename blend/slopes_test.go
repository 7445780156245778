package blend

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Slopes against differences of a small step to both sides.
func TestFilmSlopes(t *testing.T) {
	const h = 1e-5
	for _, f := range []Film{{K: 0.2, S: 0.124}, {K: 3, S: 0.01}, {K: 1e-4, S: 0.5}, {K: 1e-3, S: 1e-3}, {K: 20, S: 5}} {
		for _, surface := range []float64{0, 0.3, 0.9} {
			over := func(logK, logS, bySurface, ground, n float64) float64 {
				film := Film{K: f.K * math.Exp(logK), S: f.S * math.Exp(logS)}
				k2 := mostInner * (surface + bySurface)
				return underSurface(film.Over(insideSurface(ground, k2), n), k2)
			}
			for _, ground := range []float64{0, 0.3, 0.9} {
				for _, n := range []float64{0.1, 1, 6} {
					r, by := f.OverSlopes(ground, n, surface)
					require.InDelta(t, over(0, 0, 0, ground, n), r, 1e-14)
					require.InDelta(t, (over(h, 0, 0, ground, n)-over(-h, 0, 0, ground, n))/(2*h), by.ByLogK, 1e-8)
					require.InDelta(t, (over(0, h, 0, ground, n)-over(0, -h, 0, ground, n))/(2*h), by.ByLogS, 1e-8)
					require.InDelta(t, (over(0, 0, h, ground, n)-over(0, 0, -h, ground, n))/(2*h), by.BySurface, 1e-8)
					if ground > 0 {
						require.InDelta(t, (over(0, 0, 0, ground+h, n)-over(0, 0, 0, ground-h, n))/(2*h), by.ByGround, 1e-8)
					}
				}
			}
			limit := func(logK, logS, bySurface float64) float64 {
				return underSurface(Film{K: f.K * math.Exp(logK), S: f.S * math.Exp(logS)}.Limit(), mostInner*(surface+bySurface))
			}
			r, by := f.LimitSlopes(surface)
			require.InDelta(t, limit(0, 0, 0), r, 1e-15)
			require.InDelta(t, (limit(h, 0, 0)-limit(-h, 0, 0))/(2*h), by.ByLogK, 1e-8)
			require.InDelta(t, (limit(0, h, 0)-limit(0, -h, 0))/(2*h), by.ByLogS, 1e-8)
			require.InDelta(t, (limit(0, 0, h)-limit(0, 0, -h))/(2*h), by.BySurface, 1e-8)
		}
	}
}

func TestWettedSlopes(t *testing.T) {
	const h = 1e-6
	at := func(dry, wetting float64) float64 { return underSurface(dry, mostInner*wetting) }
	for _, dry := range []float64{0.01, 0.3, 0.8, 0.99} {
		for _, wetting := range []float64{0, 0.4, 1} {
			wet, byDry, byWetting := WettedSlopes(dry, wetting)
			require.Equal(t, at(dry, wetting), wet)
			require.InDelta(t, (at(dry+h, wetting)-at(dry-h, wetting))/(2*h), byDry, 1e-8)
			require.InDelta(t, (at(dry, wetting+h)-at(dry, wetting-h))/(2*h), byWetting, 1e-8)
		}
	}
}
