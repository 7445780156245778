package slip

import (
	"math"
	"math/bits"
)

const (
	// cellCore is the share of a cell, along each side, that is read.
	cellCore = 0.5
	// alike is the least correlation between the lightness of the patches as they are seen and as they were printed.
	alike = 0.6
)

// ring reads the cells of a face, clockwise from its own top left corner: each is compared with the frame and the paper beside it, so
// that a shadow's edge between them does no harm. Not ok where the photo ends.
func (s scene) ring(f *face) (word uint64, ok bool) {
	for i := range cells {
		at := cell(i)
		light, on := s.mean(f, at.X+module/2, at.Y+module/2, cellCore*module, 3)
		if !on {
			return 0, false
		}
		k, along := i/perTurn, module*(float64(i%perTurn)+1.5)
		x, y := place(k, along, module/2)
		ink, on := s.mean(f, x, y, cellCore*module, 2)
		x, y = place(k, along, -module/2)
		white, onToo := s.mean(f, x, y, cellCore*module, 2)
		if !on || !onToo {
			return 0, false
		}
		if light < (ink+white)/2 {
			word |= 1 << i
		}
	}
	return word, true
}

// perhapsRing reports whether a face that is known to a pixel or so has about as many dark cells as a slip.
func (s scene) perhapsRing(f *face) bool {
	const doubtful = 6 // cells
	word, ok := s.ring(f)
	dark := bits.OnesCount64(word)
	return ok && dark >= fewestDark-doubtful && dark <= mostDark+doubtful
}

// perhapsSlip reports whether the ring of a face that was fitted once is near that of a slip: of what is none one in twenty is.
func (s scene) perhapsSlip(f *face) bool {
	word, ok := s.ring(f)
	return ok && isNear(word, 2*mostWrong)
}

// patchesFit reports whether the patches lie on a face as a design has them: by the correlation of the roots of their luminance,
// which must be high, and lower for every other turn.
func (s scene) patchesFit(f *face, d Design) bool {
	var seen, want [Patches]float64
	for i, tone := range d.Tones() {
		at := patch(i)
		light, ok := s.mean(f, at.X+patchSide/2, at.Y+patchSide/2, patchSide/2, 3)
		if !ok {
			return false
		}
		seen[i], want[i] = math.Sqrt(max(light, 0)), math.Sqrt(tone.RGB.Linear().Luminance())
	}
	upright := correlation(seen, want)
	for range 3 {
		if want = quarter(want); correlation(seen, want) >= upright {
			return false
		}
	}
	return upright >= alike
}

// quarter is nine patches turned by a quarter.
func quarter(of [Patches]float64) (out [Patches]float64) {
	for i := range out {
		x, y := i%across, i/across
		out[i] = of[x*across+across-1-y]
	}
	return out
}

func correlation(a, b [Patches]float64) float64 {
	var ma, mb, aa, bb, ab float64
	for i := range a {
		ma, mb = ma+a[i]/Patches, mb+b[i]/Patches
	}
	for i := range a {
		da, db := a[i]-ma, b[i]-mb
		aa, bb, ab = aa+da*da, bb+db*db, ab+da*db
	}
	return ab / math.Sqrt(max(aa*bb, 1e-12))
}
