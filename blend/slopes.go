package blend

import "math"

// Slopes are the derivatives of a reflectance.
type Slopes struct {
	ByLogK, ByLogS float64
	BySurface      float64 // by Coating.Surface
	ByGround       float64
}

// OverSlopes returns [Film.Over] under the surface of a coat, see [Coating.Surface], and its derivatives.
func (f Film) OverSlopes(ground, coats, surface float64) (r float64, by Slopes) {
	k2 := mostInner * surface
	in, inByGround, inByK2 := insideSlopes(ground, k2)
	film, bare := f.overSlopes(in, coats)
	r, byFilm, byK2 := underSlopes(film, k2)
	by = Slopes{
		ByLogK: byFilm * bare.ByLogK, ByLogS: byFilm * bare.ByLogS,
		BySurface: mostInner * (byK2 + byFilm*bare.ByGround*inByK2), ByGround: byFilm * bare.ByGround * inByGround,
	}
	return r, by
}

// overSlopes returns [Film.Over] and its derivatives.
func (f Film) overSlopes(ground, coats float64) (r float64, by Slopes) {
	square := f.K * (f.K + 2*f.S)
	tau, bySquare := f.effective(coats), 0.0
	if x := square * coats * coats; x < 1e-5 {
		bySquare = -coats * coats * coats / 3 * (1 - 4*x/5)
	} else {
		th := tau * math.Sqrt(square)
		bySquare = (coats*(1-th*th) - tau) / (2 * square) // derivative of tanh(αn)/α by α²
	}
	tauByK, tauByS := bySquare*2*(f.K+f.S), bySquare*2*f.K
	gain, loss := f.S-(f.K+f.S)*ground, f.K+f.S*(1-ground)
	down := 1 + tau*loss
	r = (ground + tau*gain) / down
	by.ByLogK = f.K * (tauByK*gain - tau*ground - r*(tauByK*loss+tau)) / down
	by.ByLogS = f.S * (tauByS*gain + tau*(1-ground) - r*(tauByS*loss+tau*(1-ground))) / down
	by.ByGround = (1 - tau*(f.K+f.S-r*f.S)) / down
	return r, by
}

// LimitSlopes returns [Film.Limit] under the surface of a coat, and its derivatives.
func (f Film) LimitSlopes(surface float64) (r float64, by Slopes) {
	limit := f.Limit()
	r, byLimit, byK2 := underSlopes(limit, mostInner*surface)
	byLogK := -byLimit * limit * math.Sqrt(f.K/(f.K+2*f.S))
	return r, Slopes{ByLogK: byLogK, ByLogS: -byLogK, BySurface: mostInner * byK2}
}

// WettedSlopes returns the reflectance of a dry surface once it is wetted, see [Coating.Wetting], and its derivatives by
// the dry one and the wetting.
func WettedSlopes(dry, wetting float64) (wet, byDry, byWetting float64) {
	wet, byDry, byK2 := underSlopes(dry, mostInner*wetting)
	return wet, byDry, mostInner * byK2
}

// underSlopes returns underSurface and its derivatives.
func underSlopes(r, k2 float64) (seen, byR, byK2 float64) {
	down := 1 - k2*r
	return (1 - k2) * r / down, (1 - k2) / (down * down), -r * (1 - r) / (down * down)
}

// insideSlopes returns insideSurface and its derivatives.
func insideSlopes(seen, k2 float64) (r, bySeen, byK2 float64) {
	down := 1 - k2*(1-seen)
	return seen / down, (1 - k2) / (down * down), seen * (1 - seen) / (down * down)
}
