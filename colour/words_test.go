package colour_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/internal/colourtest"
	"huewright/internal/fault"
	"huewright/internal/words"
)

func ExampleDescribeDifference() {
	panel := colour.Lab{L: 44.1, A: 14.2, B: 19.8}
	frame := colour.Lab{L: 78, A: 4, B: 19}
	fmt.Println("The frame is", words.Speaker{}.Say(colour.DescribeDifference(panel, frame))+".")
	// Output: The frame is much lighter and clearly less red.
}

func TestDescribeDifference(t *testing.T) {
	oak, grey := colour.Lab{L: 66, A: 7, B: 21}, colour.Lab{L: 50}
	for _, c := range []struct {
		ref, sample colour.Lab
		changes     string
	}{
		{oak, colour.Lab{L: 68, A: 7, B: 21}, "touch lighter"},
		{oak, colour.Lab{L: 60, A: 7, B: 21}, "clear darker"},
		{oak, colour.Lab{L: 66, A: 10, B: 19.8}, "little redder"},
		{oak, colour.Lab{L: 66, A: 3, B: 22}, "clear less-red"},
		{oak, colour.Lab{L: 66, A: -1, B: 21.5}, "clear less-red"},
		{oak, colour.Lab{L: 66, A: -5, B: 21.5}, "much greener"},
		{oak, colour.Lab{L: 66, A: 8.5, B: 25.5}, "little stronger"},
		{oak, colour.Lab{L: 66, A: 7, B: 27}, "little yellower"}, // nearly all of it in b*: not stronger as well
		{grey, colour.Lab{L: 50, A: 3}, "clear redder"},
		{grey, colour.Lab{L: 50, A: -3}, "clear greener"},
		{grey, colour.Lab{L: 50, B: -3}, "little bluer"},
		{grey, colour.Lab{L: 55, B: 3}, "clear lighter, little yellower"},
		{colour.Lab{L: 50, A: 3}, colour.Lab{L: 50, A: -3}, "clear greener"},
		{colour.Lab{L: 30, A: 15, B: -30}, colour.Lab{L: 30, A: 20, B: -26}, "clear redder"},
	} {
		require.Equal(t, c.changes, strings.Join(changes(colour.DescribeDifference(c.ref, c.sample)), ", "), "%v to %v", c.ref, c.sample)
	}
}

// changes are those of a difference, each with its grade before it: "much lighter"; none where there is none to see.
func changes(difference fault.Note) (all []string) {
	if difference.Code == colour.NoDifference {
		return nil
	}
	for _, c := range difference.Values["changes"].([]fault.Note) {
		all = append(all, fmt.Sprint(c.Values["grade"], " ", strings.TrimPrefix(string(c.Code), "colour.")))
	}
	return all
}

// near returns colours of every kind and others at all distances from them.
func near(rng *rand.Rand) (ref, sample colour.Lab) {
	ref = colourtest.LabOf(5+90*rng.Float64(), 60*rng.Float64()*rng.Float64(), 360*rng.Float64())
	size := 15 * rng.Float64() * rng.Float64()
	return ref, colour.Lab{
		L: ref.L + size*rng.NormFloat64(), A: ref.A + size*rng.NormFloat64(), B: ref.B + size*rng.NormFloat64(),
	}
}

func TestDescribeDifferenceExchanged(t *testing.T) {
	opposite := map[string][]string{
		"lighter": {"darker"}, "darker": {"lighter"}, "stronger": {"duller"}, "duller": {"stronger"},
		"redder": {"greener", "less-red"}, "greener": {"redder", "less-green"},
		"yellower": {"bluer", "less-yellow"}, "bluer": {"yellower", "less-blue"},
		"less-red": {"redder"}, "less-green": {"greener"}, "less-yellow": {"yellower"}, "less-blue": {"bluer"},
	}
	rng := rand.New(rand.NewPCG(15, 16))
	said := map[string]int{}
	for range 20000 {
		ref, sample := near(rng)
		there, andBack := changes(colour.DescribeDifference(ref, sample)), changes(colour.DescribeDifference(sample, ref))
		require.Equal(t, colour.DeltaE2000(ref, sample) < colour.Perceptible, len(there) == 0)
		require.Len(t, andBack, len(there), "%s / %s", there, andBack)
		for i := range there {
			size, word, _ := strings.Cut(there[i], " ")
			sizeBack, wordBack, _ := strings.Cut(andBack[i], " ")
			require.Equal(t, size, sizeBack, "%s / %s", there, andBack)
			require.Contains(t, opposite[word], wordBack, "%s / %s", there, andBack)
			said[word]++
		}
	}
	require.Len(t, said, len(opposite), "every word is used")
}

// What is said is so: a sample called redder has more a*, one called duller less chroma, as
// CIEDE2000 has it: with a* stretched near grey.
func TestDescribeDifferenceTellsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 18))
	for range 20000 {
		ref, sample := near(rng)
		c7 := math.Pow((ref.LCh().C+sample.LCh().C)/2, 7)
		stretch := 1.5 - 0.5*math.Sqrt(c7/(c7+math.Pow(25, 7)))
		dC := math.Hypot(stretch*sample.A, sample.B) - math.Hypot(stretch*ref.A, ref.B)
		change := map[string]float64{
			"lighter": sample.L - ref.L, "darker": ref.L - sample.L, "stronger": dC, "duller": -dC,
			"redder": sample.A - ref.A, "less-green": sample.A - ref.A, "greener": ref.A - sample.A, "less-red": ref.A - sample.A,
			"yellower": sample.B - ref.B, "less-blue": sample.B - ref.B, "bluer": ref.B - sample.B, "less-yellow": ref.B - sample.B,
		}
		seen := map[string]bool{}
		for _, said := range changes(colour.DescribeDifference(ref, sample)) {
			_, word, _ := strings.Cut(said, " ")
			require.Positive(t, change[word], "%v to %v is %s", ref, sample, said)
			require.False(t, seen[word])
			seen[word] = true
		}
		require.LessOrEqual(t, len(seen), 3)
	}
}

// Anchors of Paravina et al. (2015).
