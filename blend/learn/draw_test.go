package learn

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
	"huewright/colour/spectra"
	"huewright/internal/fault"
)

// cabinet is the data of a piece of two woods and a filled corner, three coatings on the shelf.
func cabinet() *Dataset {
	glaze := blendtest.Invented("umber glaze", "glaze", func(nm float64) blend.Film {
		return blend.Film{K: 0.25 * math.Exp(-(nm-400)/150), S: 0.01}
	})
	white := blendtest.Invented("white wash", "wash", func(float64) blend.Film { return blend.Film{K: 0.003, S: 0.2} })
	target := Measured{Lab: colour.Lab{L: 44, A: 13, B: 18}}
	s := &Dataset{Colours: []Measured{target}}
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		for _, lighter := range []float64{0, 5, -6} {
			s.Colours = append(s.Colours, Measured{Lab: colour.Lab{L: wood.L + lighter, A: wood.A, B: wood.B}})
		}
	}
	for _, c := range []*blend.Coating{blendtest.RedWash, glaze, white} {
		s.Shelf = append(s.Shelf, ShelfCoating{Name: c.Name, Kind: c.Kind, Evidence: Evidence{
			Chip: chipOf(c), Tests: []TestCoat{testCoat(c, blendtest.Ash, 1), testCoat(c, blendtest.Sapele, 1)}}})
	}
	return s
}

// The same dataset gives the same samples, in whatever order the data are given.
func TestSamplesDoNotDependOnOrder(t *testing.T) {
	s := cabinet()
	a, err := s.Draw(t.Context(), Options{})
	require.NoError(t, err)
	require.Len(t, a.Drawn, 64)
	require.Len(t, a.Reports, 3)
	again, err := s.Draw(t.Context(), Options{})
	require.NoError(t, err)
	require.Equal(t, a.Drawn, again.Drawn)

	slices.Reverse(s.Shelf)
	slices.Reverse(s.Colours)
	b, err := s.Draw(t.Context(), Options{})
	require.NoError(t, err)
	for i, w := range append([]Sample{a.Best}, a.Drawn...) {
		v := append([]Sample{b.Best}, b.Drawn...)[i]
		require.Equal(t, w.Seed, v.Seed)
		for k := range w.Coatings {
			c, d := &w.Coatings[k], &v.Coatings[len(v.Coatings)-1-k]
			require.Equal(t, c.Name, d.Name)
			require.Equal(t, w.BoardToPiece[k], v.BoardToPiece[len(v.BoardToPiece)-1-k])
			for band := range c.Films {
				require.InEpsilon(t, c.Films[band].K, d.Films[band].K, 1e-6)
				require.InEpsilon(t, c.Films[band].S, d.Films[band].S, 1e-6)
			}
		}
		for k := range w.Colours {
			c, d := w.Colours[k].Lab(), v.Colours[len(v.Colours)-1-k].Lab()
			require.Less(t, colour.DeltaE76(c, d), 1e-6)
		}
	}
}

// Draws lie about the central sample, as far apart as the report's radius says.
func TestSamplesSpreadAsReported(t *testing.T) {
	s := cabinet()
	samples, err := s.Draw(t.Context(), Options{Draws: 300})
	require.NoError(t, err)
	for k := range s.Shelf {
		best := blendtest.ColourOver(&samples.Best.Coatings[k], blendtest.Oak, 3)
		var off []float64
		for i := range samples.Drawn {
			off = append(off, colour.DeltaE2000(best, blendtest.ColourOver(&samples.Drawn[i].Coatings[k], blendtest.Oak, 3)))
		}
		slices.Sort(off)
		drawn, stated := stat.Quantile(0.95, stat.Empirical, off, nil), samples.Reports[k].PlusMinus(blendtest.Oak, 3)
		t.Logf("%s: 95 %% of draws within %.1f; the report says %.1f", s.Shelf[k].Name, drawn, stated)
		require.InEpsilon(t, stated, drawn, 0.6) // a curvature against draws that follow the bend
	}
	var off []float64
	for i := range samples.Drawn {
		c := samples.Drawn[i].Colours[4].Lab() // which no test coat lies on
		off = append(off, c.L-blendtest.Oak.L)
	}
	require.InDelta(t, 0, stat.Mean(off, nil), 0.15)
	require.InDelta(t, goodReadingSD, stat.StdDev(off, nil), 0.1)
}

// The spectrum is uncertain, its colour is not: the draws of an exact reading differ in the first and
// agree in the second.
func TestSpectraVaryWithinTheirColour(t *testing.T) {
	s := &Dataset{Colours: []Measured{{Lab: blendtest.Sapele, PlusMinus: 0.01}}}
	samples, err := s.Draw(t.Context(), Options{Draws: 200})
	require.NoError(t, err)
	var red, lightness []float64
	for i := range samples.Drawn {
		c := &samples.Drawn[i].Colours[0]
		lab := c.Lab()
		red, lightness = append(red, c[30]), append(lightness, lab.L) // 680 nm
		for _, r := range c {
			require.True(t, r > 0 && r < 1)
		}
	}
	t.Logf("at 680 nm %.3f ± %.3f, L* %.2f ± %.2f",
		stat.Mean(red, nil), stat.StdDev(red, nil), stat.Mean(lightness, nil), stat.StdDev(lightness, nil))
	require.Greater(t, stat.StdDev(red, nil), 0.01)
	require.InDelta(t, leastSD, stat.StdDev(lightness, nil), 0.05)
}

// What a wiped coat leaves is found from a second coat, and not from a first; what bare wood takes
// up, from coats on bare and on sealed wood.
func TestBuildUpIsLearned(t *testing.T) {
	truth := *blendtest.RedWash
	truth.PutOn, truth.Carry, truth.Uptake = blend.Wiped, 0.4, 1.6
	lay := func(n float64, on blend.Surface) TestCoat {
		wood := spectra.Smoothest(blendtest.Ash)
		after := truth.Over(&wood, truth.Thickness(n, on, nil))
		return TestCoat{Ground: Measured{Lab: blendtest.Ash}, Result: Measured{Lab: after.Lab()}, Coats: n, Surface: on, Even: true}
	}
	of := func(tests ...TestCoat) (carry, uptake []float64) {
		s := Dataset{Shelf: []ShelfCoating{{
			Name: "stain", Kind: "stain", PutOn: blend.Wiped, Evidence: Evidence{Chip: chipOf(blendtest.RedWash), Tests: tests}}}}
		samples, err := s.Draw(t.Context(), Options{})
		require.NoError(t, err)
		for i := range samples.Drawn {
			c := &samples.Drawn[i].Coatings[0]
			carry, uptake = append(carry, c.Carry), append(uptake, c.Uptake)
			require.True(t, c.Carry > 0 && c.Carry < 1)
		}
		return carry, uptake
	}
	carry, uptake := of(lay(1, blend.Sealed))
	require.Greater(t, stat.StdDev(carry, nil), 0.15, "one coat says nothing of the next")
	wide := stat.StdDev(uptake, nil)
	carry, uptake = of(lay(1, blend.Sealed), lay(2, blend.Sealed), lay(4, blend.Sealed), lay(1, blend.Bare))
	t.Logf("carry %.2f ± %.2f, uptake %.2f ± %.2f",
		stat.Mean(carry, nil), stat.StdDev(carry, nil), stat.Mean(uptake, nil), stat.StdDev(uptake, nil))
	require.InDelta(t, truth.Carry, stat.Mean(carry, nil), 0.1)
	require.Less(t, stat.StdDev(carry, nil), 0.1)
	require.InDelta(t, truth.Uptake, stat.Mean(uptake, nil), 0.2)
	require.Less(t, stat.StdDev(uptake, nil), wide/2)
}

// Coats on the piece are evidence on those to come there: an operator who lays them thicker than
// the test board is found out, coat by coat.
func TestThePieceIsEvidence(t *testing.T) {
	const thicker = 1.25
	s := Dataset{Shelf: []ShelfCoating{{Name: "wash", Kind: "wash", Evidence: Evidence{Chip: chipOf(blendtest.RedWash)}}}}
	known := &s.Shelf[0].Evidence
	for _, wood := range []colour.Lab{blendtest.Ash, blendtest.Oak, blendtest.Sapele, blendtest.Walnut} {
		known.Tests = append(known.Tests, testCoat(blendtest.RedWash, wood, 1), testCoat(blendtest.RedWash, wood, 2))
	}
	board := func() (b []float64) {
		samples, err := s.Draw(t.Context(), Options{})
		require.NoError(t, err)
		for i := range samples.Drawn {
			b = append(b, samples.Drawn[i].BoardToPiece[0])
		}
		require.InDelta(t, stat.Mean(b, nil), samples.Best.BoardToPiece[0], 0.05)
		return b
	}
	before := board()
	require.InDelta(t, 1, stat.Mean(before, nil), 0.05)
	require.InDelta(t, boardSD, stat.StdDev(before, nil), 0.03)
	for n := 1.0; n <= 3; n++ {
		on := testCoat(blendtest.RedWash, blendtest.Oak, n*thicker)
		on.Coats, on.Even, on.OnPiece = n, false, true
		known.Tests = append(known.Tests, on)
	}
	after := board()
	t.Logf("the piece takes %.2f ± %.2f of the board; before, %.2f ± %.2f",
		stat.Mean(after, nil), stat.StdDev(after, nil), stat.Mean(before, nil), stat.StdDev(before, nil))
	require.Greater(t, stat.Mean(after, nil), 1.06)
	require.Less(t, stat.StdDev(after, nil), stat.StdDev(before, nil))
}

// One wetted spot narrows the clear coat to come.
func TestClearCoatIsLearned(t *testing.T) {
	truth := blend.ClearCoat{Wetting: 0.7, Amber: 0.08}
	wood := spectra.Smoothest(blendtest.Oak)
	seen := truth.Over(&wood)
	drops := func(s *Dataset) (l []float64) {
		samples, err := s.Draw(t.Context(), Options{})
		require.NoError(t, err)
		for i := range samples.Drawn {
			after := samples.Drawn[i].Clear.Over(&wood)
			l = append(l, after.Lab().L-blendtest.Oak.L)
		}
		return l
	}
	none := drops(&Dataset{})
	t.Logf("nothing known: L* %+.1f ± %.1f", stat.Mean(none, nil), stat.StdDev(none, nil))
	require.True(t, stat.Mean(none, nil) < -5 && stat.Mean(none, nil) > -12, "L* −5 to −12 is typical (from memory)")
	known := drops(&Dataset{Clear: ClearEvidence{Spots: []ClearSpot{{Measured{Lab: blendtest.Oak}, Measured{Lab: seen.Lab()}}}}})
	t.Logf("one spot: L* %+.1f ± %.1f, in truth %+.1f",
		stat.Mean(known, nil), stat.StdDev(known, nil), seen.Lab().L-blendtest.Oak.L)
	require.InDelta(t, seen.Lab().L-blendtest.Oak.L, stat.Mean(known, nil), 1)
	require.Less(t, stat.StdDev(known, nil), stat.StdDev(none, nil)/2)
}

// What one photo has wrong is wrong about all of its readings at once: in the photo that all
// comes from it does not show, in another it moves what was read there together.
func TestPhotoErrorsAreDrawnOnce(t *testing.T) {
	in := func(photo string, c colour.Lab) Measured {
		return Measured{Lab: c, PlusMinus: 6, Own: 0.2, Photo: photo}
	}
	s := &Dataset{
		Colours: []Measured{in("front", blendtest.Ash), in("front", blendtest.Oak), in("front", blendtest.Sapele),
			in("side", blendtest.Ash), in("side", blendtest.Walnut)},
		Shared: photosOff(9),
	}
	samples, err := s.Draw(t.Context(), Options{Draws: 400})
	require.NoError(t, err)
	off := make([][]float64, len(s.Colours))
	for i := range samples.Drawn {
		for k, c := range samples.Drawn[i].Colours {
			off[k] = append(off[k], c.Lab().L-s.Colours[k].Lab.L)
		}
	}
	require.InDelta(t, s.Colours[0].ownSD(), stat.StdDev(off[0], nil), 0.1)
	require.InDelta(t, math.Sqrt(18), stat.StdDev(off[3], nil), 0.5, "two photos stand between")
	require.Greater(t, stat.Correlation(off[3], off[4], nil), 0.95)
	require.InDelta(t, 0, stat.Correlation(off[0], off[1], nil), 0.15)
}

// Equal readings are one reading of one spot: what is wrong about a test coat's ground is wrong
// about the area that was read with it.
func TestOneReadingIsOneSpot(t *testing.T) {
	s := cabinet()
	s.Colours = append(s.Colours, s.Shelf[0].Evidence.Tests[0].Ground, Measured{Lab: blendtest.Ash})
	samples, err := s.Draw(t.Context(), Options{})
	require.NoError(t, err)
	n := len(s.Colours)
	for i := range samples.Drawn {
		require.Equal(t, samples.Drawn[i].Colours[n-2], samples.Drawn[i].Colours[n-1])
	}
}

func TestDrawRefuses(t *testing.T) {
	bad := Measured{Lab: colour.Lab{L: 140}}
	for code, s := range map[fault.Code]*Dataset{
		"learn.nothing-known":  {Shelf: []ShelfCoating{{Name: "wash", Kind: "wash"}}},
		"learn.bad-colour":     {Colours: []Measured{{Lab: blendtest.Ash}, bad}},
		"learn.bad-clear-spot": {Clear: ClearEvidence{Spots: []ClearSpot{{Measured{Lab: blendtest.Ash}, bad}}}},
		"learn.choice": {Shelf: []ShelfCoating{{Name: "w", Kind: "wash", Evidence: Evidence{Tests: []TestCoat{{
			Ground: Measured{Lab: blendtest.Ash}, Result: Measured{Lab: blendtest.Oak}, Coats: 1, Surface: "wet"}}}}}},
	} {
		_, err := s.Draw(t.Context(), Options{})
		blendtest.RequireFault(t, err, code)
	}
	_, err := (&Dataset{Shelf: []ShelfCoating{{Name: "wash", Kind: "wash", PutOn: "poured"}}}).Draw(t.Context(), Options{})
	blendtest.RequireFault(t, err, "learn.choice")
	none, err := (&Dataset{}).Draw(t.Context(), Options{})
	require.NoError(t, err)
	require.Len(t, none.Drawn, 64)
}

// Whatever can be measured gives samples in which everything is finite.
func FuzzDraw(f *testing.F) {
	f.Add(78.0, 4.0, 19.0, 60.0, 14.0, 22.0, 1.0, "bare", "wiped")
	f.Add(0.0, 0.0, 0.0, 100.0, 0.0, 0.0, 1000.0, "porous", "sprayed")
	f.Add(50.0, 90.0, -90.0, 50.0, -90.0, 90.0, 1e-3, "", "")
	f.Fuzz(func(t *testing.T, l1, a1, b1, l2, a2, b2, coats float64, on, putOn string) {
		a := Measured{Lab: colour.Lab{L: l1, A: a1, B: b1}, Photo: "x"}
		b := Measured{Lab: colour.Lab{L: l2, A: a2, B: b2}, PlusMinus: 9, Photo: "y"}
		s := &Dataset{
			Shelf: []ShelfCoating{{Name: "any", Kind: "stain", PutOn: blend.PutOn(putOn), Evidence: Evidence{
				Tests: []TestCoat{{Ground: a, Result: b, Coats: coats, Surface: blend.Surface(on)},
					{Ground: b, Result: a, Coats: coats, OnPiece: true}}}}},
			Colours: []Measured{a, b, {Lab: blendtest.Oak}},
			Clear:   ClearEvidence{Spots: []ClearSpot{{a, b}}},
		}
		samples, err := s.Draw(t.Context(), Options{Draws: 3})
		if err != nil {
			blendtest.RequireFault(t, err, "")
			return
		}
		for _, w := range append(samples.Drawn, samples.Best) {
			for i := range w.Colours {
				after := w.Coatings[0].Over(&w.Colours[i], w.Coatings[0].Thickness(3, blend.Bare, w.FilmFactors("area", 0, 3)))
				after = w.Clear.Over(&after)
				require.True(t, after.Lab().IsFinite())
			}
		}
	})
}

func BenchmarkDraw(b *testing.B) {
	s := cabinet()
	for b.Loop() {
		if _, err := s.Draw(b.Context(), Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// Readings are one where they have one key, and two where they have not, whatever their figures.
func TestReadingsAreKnownByKey(t *testing.T) {
	m := Measured{Lab: colour.Lab{L: 70, A: 6, B: 20}, PlusMinus: 2, Photo: "front"}
	named := func(key string) Measured {
		keyed := m
		keyed.Key = key
		return keyed
	}
	require.Len(t, gatherReadings([]Measured{named("frame"), named("frame")}, []Measured{named("frame")}, nil).all, 1)
	r := gatherReadings([]Measured{named("frame"), named("panel")}, []Measured{m, m}, nil)
	require.Len(t, r.all, 3, "without a key a reading is known by its figures")
	require.NotEqual(t, r.indexOf(named("frame")), r.indexOf(named("panel")))
	require.Equal(t, m, r.all[r.indexOf(m)])
}
