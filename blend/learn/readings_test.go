package learn

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend"
	"huewright/blend/internal/blendtest"
	"huewright/colour"
)

// readIn is evidence of a chip and two test coats, all results read in one photo and all
// grounds in another.
func readIn(grounds, results string) Evidence {
	e := Evidence{Chip: chipOf(blendtest.RedWash), Tests: []TestCoat{
		testCoat(blendtest.RedWash, blendtest.Ash, 1), testCoat(blendtest.RedWash, blendtest.Walnut, 1)}}
	e.Chip.Photo, e.Chip.Own = results, goodReadingSD
	for i := range e.Tests {
		t := &e.Tests[i]
		t.Ground.Photo, t.Ground.Own = grounds, goodReadingSD
		t.Result.Photo, t.Result.Own = results, goodReadingSD
	}
	return e
}

// photosOff is what photos have wrong about every colour alike: nothing in common between two
// of them, variance of L*, a* and b* each in one.
func photosOff(variance float64) func(a, b Measured) [3][3]float64 {
	return func(a, b Measured) (cov [3][3]float64) {
		if a.Photo == b.Photo {
			for i := range cov {
				cov[i][i] = variance
			}
		}
		return cov
	}
}

func learnSharing(t *testing.T, e Evidence, shared func(a, b Measured) [3][3]float64) (*blend.Coating, Report, error) {
	return learnDataset(t.Context(), Dataset{Shelf: []ShelfCoating{{Name: "w", Kind: "wash", Evidence: e}}, Shared: shared})
}

func TestPhotosThatAgreeAreOnePhoto(t *testing.T) {
	alone := readIn("front", "front")
	a, _, err := learn(t.Context(), "w", "wash", alone)
	require.NoError(t, err)
	for _, e := range []Evidence{readIn("front", "front"), readIn("front", "bench")} {
		b, _, err := learnSharing(t, e, photosOff(0))
		require.NoError(t, err)
		for i := range a.Films {
			require.InDelta(t, a.Films[i].K, b.Films[i].K, 1e-4)
			require.InDelta(t, a.Films[i].S, b.Films[i].S, 1e-4)
		}
	}
}

// The less the photo of the grounds agrees with that of the rest, the less is known, and what
// one photo has wrong in itself makes no difference.
func TestPhotosThatDisagreeTeachLess(t *testing.T) {
	radius := func(e Evidence, variance float64) float64 {
		_, report, err := learnSharing(t, e, photosOff(variance))
		require.NoError(t, err)
		return report.PlusMinus(blendtest.Oak, 3)
	}
	require.InDelta(t, radius(readIn("front", "front"), 0), radius(readIn("front", "front"), 100), 1e-9)
	agreed, little, much := radius(readIn("bench", "front"), 0), radius(readIn("bench", "front"), 1), radius(readIn("bench", "front"), 25)
	require.Less(t, agreed, little)
	require.Less(t, little, much)
}

// One shift that all grounds share explains both results at once: the learner finds the wash
// behind it better than when it takes the two as wrong each by itself.
func TestSharedErrorIsOneError(t *testing.T) {
	e := readIn("bench", "front")
	for i := range e.Tests {
		e.Tests[i].Ground.Lab.L -= 4
		e.Tests[i].Ground.PlusMinus = 8
	}
	off := func(shared func(a, b Measured) [3][3]float64) float64 {
		learned, _, err := learnSharing(t, e, shared)
		require.NoError(t, err)
		return colour.DeltaE2000(blendtest.ColourOver(blendtest.RedWash, blendtest.Oak, 2), blendtest.ColourOver(learned, blendtest.Oak, 2))
	}
	asShared := off(photosOff(16))
	require.Less(t, asShared, 1.5)
	require.Less(t, asShared, off(photosOff(0)))
}
