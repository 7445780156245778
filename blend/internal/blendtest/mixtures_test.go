package blendtest

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
)

// How strong one paint is in a mixture over the other, beside what their shares by weight let expect: the factor that brings
// K/S of the mixture nearest to what was measured. Of two paints that are each off by so much, the spread is √2 of that; whites
// are dense, so that shares by volume take a part of it away. learn.strengthSD is of one paint.
func TestStrengthsOfMeasuredMixtures(t *testing.T) {
	p := ReadPalette(t)
	var logs []float64
	for _, m := range p.Mixtures(t) {
		best, strength, bands := math.Inf(1), 0.0, 0
		for x := -4.0; x <= 4; x += 0.02 {
			off, n := 0.0, 0
			for nm := 400; nm <= 700; nm += 10 {
				a, okA := p.Film(m.Of, nm)
				b, okB := p.Film(m.And, nm)
				mixed, ok := p.Film(m.Name, nm)
				if !okA || !okB || !ok {
					continue
				}
				n++
				of, and := m.Share*math.Exp(x), 1-m.Share
				d := math.Log((of*a.K+and*b.K)/(of*a.S+and*b.S)) - math.Log(mixed.K/mixed.S)
				off += d * d
			}
			if off < best {
				best, strength, bands = off, x, n
			}
		}
		if bands < 8 || math.Abs(strength) > 3.9 {
			continue
		}
		t.Logf("%s of %.3f %s in %s: log strength %+.2f, log K/S off by %.2f at %d wavelengths", m.Name, m.Share, m.Of, m.And, strength,
			math.Sqrt(best/float64(bands)), bands)
		logs = append(logs, strength)
	}
	each := floats.Norm(logs, 2) / math.Sqrt(2*float64(len(logs)))
	t.Logf("n = %d: log strength of each paint ±%.2f", len(logs), each)
	require.Greater(t, len(logs), 10)
	require.InDelta(t, 1.1, each, 0.3)
}
