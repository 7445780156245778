package carry

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
)

// A strip is a part of a drawn face, in millimetres of its plane, that lies so far behind that of the slips. Its grain differs from every
// other one's; without grain it is as dark as what lies behind all.
type strip struct {
	x0, y0, x1, y1, behind float64
	grain                  bool
}

// drawStrips draws what a camera sees of strips, in pixels of which one is one of the photo.
func drawStrips(l *lens, p *pose, strips []strip, rng *rand.Rand) *picture {
	out := &picture{photo: &imageio.Photo{Width: 800, Height: 600}, wide: 800, high: 600, scale: 1, of: make([]float32, 800*600)}
	for i := range out.of {
		out.of[i] = float32(-3 + 0.005*rng.NormFloat64())
	}
	for n, s := range strips {
		if !s.grain {
			continue
		}
		h := l.behind(p, s.behind)
		for y := range out.high {
			for x := range out.wide {
				u, v, _ := h.Inverse(imageio.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5})
				if u < s.x0 || u > s.x1 || v < s.y0 || v > s.y1 {
					continue
				}
				own := float64(n)
				grain := math.Sin(u/9+own) + math.Sin(u/5.3+v/4+2*own) + math.Sin(u/23-v/7+3*own) + math.Sin(v/3+own)
				out.of[y*out.wide+x] = float32(-1 + 0.1*grain + 0.005*rng.NormFloat64())
			}
		}
	}
	return out
}

// Narrow strips on planes of their own are found there by their grain. One without grain may lie on any plane, and nobody knows which; in a
// photo from nearly the same place that hardly matters.
func TestNarrowPartsAreSwept(t *testing.T) {
	strips := []strip{{20, 40, 560, 52, 0, true}, {60, 160, 300, 172, 38, true}, {60, 230, 300, 242, 38, true},
		{340, 160, 350, 440, -15, true}, {60, 320, 300, 330, 38, false}}
	l := lens{imageio.Point{X: 400, Y: 300}, 625}
	a := pose{0.05, -0.2, 0.02, -300, -310, 900}
	for name, test := range map[string]struct {
		b      pose
		untold bool
	}{
		"aside":     {pose{-0.1, 0.25, -0.01, -280, -290, 1000}, true},
		"beside it": {pose{0.048, -0.197, 0.02, -299, -310, 900}, false},
	} {
		t.Run(name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(11, 0x4e11))
			r := relief{from: l, to: l, slips: make([]both, 1), x: append(append([]float64{}, a[:]...), test.b[:]...)}
			for _, s := range strips {
				r.outlines, r.x = append(r.outlines, box(&l, &a, s.x0, s.y0, s.x1, s.y1, s.behind)), append(r.x, 0)
			}
			m := &Match{outlines: r.outlines, from: drawStrips(&l, &a, strips, rng), to: drawStrips(&l, &test.b, strips, rng)}
			for range strips {
				m.planes, m.untold = append(m.planes, r.carries(r.x, 0)), append(m.untold, true)
			}
			require.NoError(t, m.sweepUntold(t.Context(), &r, make([]float64, len(strips)), 800))
			require.Equal(t, []bool{false, false, false, false, test.untold}, m.untold)
			for n, s := range strips {
				if m.untold[n] {
					continue
				}
				want := box(&l, &test.b, s.x0, s.y0, s.x1, s.y1, s.behind)
				for k, p := range m.Outline(n).Points {
					require.Less(t, distance(p, want.Points[k]), 0.002*800, "%d, %d", n, k)
				}
			}
		})
	}
}

// Shelves that are each as likely to lie on either of two planes lie on the one that all of them may lie on; one of them alone is anywhere.
func TestPartsLieTogether(t *testing.T) {
	at := func(places ...float64) *sweep {
		s := &sweep{parallax: 1}
		for i := range s.likelihood {
			for _, z := range places {
				d := (depth(i) - z) / 2
				s.likelihood[i] = max(s.likelihood[i], 8-d*d/2)
			}
		}
		return s
	}
	known := []belief{levelAt(0, levelWithin)}
	for n, b := range believe(known, map[int]*sweep{2: at(38, 81), 3: at(38, -38), 5: at(38, 95)}) {
		z, sd := b.mode()
		require.InDelta(t, 38, depth(z), 1, n)
		require.Less(t, sd, 10.0, n)
	}
	alone := believe(known, map[int]*sweep{2: at(38, 81)})[2]
	_, sd := alone.mode()
	require.Greater(t, sd, 15.0)
}
