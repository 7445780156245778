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
)

func ExampleDescribeDifference() {
	panel := colour.Lab{L: 44.1, A: 14.2, B: 19.8}
	frame := colour.Lab{L: 78, A: 4, B: 19}
	fmt.Println("the frame is", colour.DescribeDifference(panel, frame))
	// Output: the frame is much lighter, clearly less red
}

func TestDescribeDifference(t *testing.T) {
	oak, grey := colour.Lab{L: 66, A: 7, B: 21}, colour.Lab{L: 50}
	for _, c := range []struct {
		ref, sample colour.Lab
		words       string
	}{
		{oak, colour.Lab{L: 68, A: 7, B: 21}, "a touch lighter"},
		{oak, colour.Lab{L: 60, A: 7, B: 21}, "clearly darker"},
		{oak, colour.Lab{L: 66, A: 10, B: 19.8}, "a little redder"},
		{oak, colour.Lab{L: 66, A: 3, B: 22}, "clearly less red"},
		{oak, colour.Lab{L: 66, A: -1, B: 21.5}, "clearly less red"},
		{oak, colour.Lab{L: 66, A: -5, B: 21.5}, "much greener"},
		{oak, colour.Lab{L: 66, A: 8.5, B: 25.5}, "a little stronger"},
		{oak, colour.Lab{L: 66, A: 7, B: 27}, "a little yellower"}, // nearly all of it in b*: not stronger as well
		{grey, colour.Lab{L: 50, A: 3}, "clearly redder"},
		{grey, colour.Lab{L: 50, A: -3}, "clearly greener"},
		{grey, colour.Lab{L: 50, B: -3}, "a little bluer"},
		{grey, colour.Lab{L: 55, B: 3}, "clearly lighter, a little yellower"},
		{colour.Lab{L: 50, A: 3}, colour.Lab{L: 50, A: -3}, "clearly greener"},
		{colour.Lab{L: 30, A: 15, B: -30}, colour.Lab{L: 30, A: 20, B: -26}, "clearly redder"},
	} {
		require.Equal(t, c.words, colour.DescribeDifference(c.ref, c.sample), "%v to %v", c.ref, c.sample)
	}
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
		"redder": {"greener", "less red"}, "greener": {"redder", "less green"},
		"yellower": {"bluer", "less yellow"}, "bluer": {"yellower", "less blue"},
		"less red": {"redder"}, "less green": {"greener"}, "less yellow": {"yellower"}, "less blue": {"bluer"},
	}
	rng := rand.New(rand.NewPCG(15, 16))
	said := map[string]int{}
	for range 20000 {
		ref, sample := near(rng)
		words, back := colour.DescribeDifference(ref, sample), colour.DescribeDifference(sample, ref)
		if colour.DeltaE2000(ref, sample) < colour.Perceptible {
			require.Equal(t, "no difference to see", words)
			require.Equal(t, words, back)
			continue
		}
		there, andBack := strings.Split(words, ", "), strings.Split(back, ", ")
		require.Len(t, andBack, len(there), "%s / %s", words, back)
		for i := range there {
			size, word := splitSize(t, there[i])
			sizeBack, wordBack := splitSize(t, andBack[i])
			require.Equal(t, size, sizeBack, "%s / %s", words, back)
			require.Contains(t, opposite[word], wordBack, "%s / %s", words, back)
			said[word]++
		}
	}
	require.Len(t, said, len(opposite), "every word is used")
}

func splitSize(t *testing.T, part string) (size, word string) {
	t.Helper()
	for _, size := range []string{"a touch ", "a little ", "clearly ", "much "} {
		if word, ok := strings.CutPrefix(part, size); ok {
			return size, word
		}
	}
	require.Fail(t, "no size in "+part)
	return "", ""
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
			"redder": sample.A - ref.A, "less green": sample.A - ref.A, "greener": ref.A - sample.A, "less red": ref.A - sample.A,
			"yellower": sample.B - ref.B, "less blue": sample.B - ref.B, "bluer": ref.B - sample.B, "less yellow": ref.B - sample.B,
		}
		words := colour.DescribeDifference(ref, sample)
		if words == "no difference to see" {
			continue
		}
		seen := map[string]bool{}
		for part := range strings.SplitSeq(words, ", ") {
			_, word := splitSize(t, part)
			require.Positive(t, change[word], "%v to %v is %s", ref, sample, words)
			require.False(t, seen[word])
			seen[word] = true
		}
		require.LessOrEqual(t, len(seen), 3)
	}
}

// Anchors of Paravina et al. (2015).
