package slip

import (
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// The generator has the roots that it is said to have, by arithmetic of the field of 64 elements over x⁶ + x + 1, and no others.
// The table of Lin and Costello, Error Control Coding, gives 166623567 for the (63,39) code too; from memory.
func TestGenerator(t *testing.T) {
	var power [63]int
	for i, x := 0, 1; i < 63; i++ {
		power[i] = x
		if x <<= 1; x >= 64 {
			x ^= 0b1000011
		}
	}
	want := map[int]bool{}
	for _, odd := range []int{1, 3, 5, 7} {
		for k, r := 0, odd; k < 6; k, r = k+1, 2*r%63 {
			want[r] = true
		}
	}
	require.Len(t, want, 24, "four minimal polynomials of degree 6")
	require.Equal(t, 24, bits.Len64(generator)-1)
	for r := range 63 {
		value := 0
		for i := range 25 {
			if generator>>i&1 == 1 {
				value ^= power[i*r%63]
			}
		}
		require.Equal(t, want[r], value == 0, "α to the %d", r)
	}
}

// The words are the first that differ enough.
func TestLexicode(t *testing.T) {
	require.Equal(t, messageBits, cells-1-(bits.Len64(generator)-1))
	var kept []uint64
	for m := uint64(1); m < 1<<messageBits; m++ {
		w := encoded(m)
		dark := bits.OnesCount64(w)
		if dark < fewestDark || dark > mostDark {
			continue
		}
		images := images(w)
		near := func(v uint64) bool {
			return slices.ContainsFunc(images[1:], func(image uint64) bool { return bits.OnesCount64(image^v) < codeDistance })
		}
		if !near(w) && !slices.ContainsFunc(kept, near) {
			kept = append(kept, w)
		}
	}
	require.Equal(t, kept, words())
}

// mirrored is a word as it is read when the slip is seen in a mirror along its falling diagonal: the cell i where −i was.
func mirrored(w uint64) uint64 {
	back := bits.Reverse64(w) >> (64 - cells) // the cell i where 35 − i was
	return (back<<1 | back>>(cells-1)) & (1<<cells - 1)
}

// images are a word in each turn, first as it is, then in a mirror.
func images(w uint64) (all [8]uint64) {
	for k := range 4 {
		all[k], all[4+k] = turned(w, k), turned(mirrored(w), k)
	}
	return all
}

// ring is a word on a square of 10 × 10 places, as text, so that it can be turned without the code's own arithmetic.
func ring(w uint64) (square [10][10]bool) {
	for i := range cells {
		at := cell(i)
		square[int(at.Y/module)-1][int(at.X/module)-1] = w>>i&1 == 1
	}
	return square
}

func word(square [10][10]bool) (w uint64) {
	for i := range cells {
		if at := cell(i); square[int(at.Y/module)-1][int(at.X/module)-1] {
			w |= 1 << i
		}
	}
	return w
}

func quarterClockwise(s [10][10]bool) (out [10][10]bool) {
	for y := range 10 {
		for x := range 10 {
			out[x][9-y] = s[y][x]
		}
	}
	return out
}

func inMirror(s [10][10]bool) (out [10][10]bool) {
	for y := range 10 {
		for x := range 10 {
			out[y][9-x] = s[y][x]
		}
	}
	return out
}

// Any two slips differ in ten cells or more however each is turned, and from all that a mirror shows; so does each from itself.
func TestSlipsDiffer(t *testing.T) {
	all := words()
	require.GreaterOrEqual(t, len(all), Sets*2*PerSet)
	for i, w := range all {
		seen := ring(w)
		require.Equal(t, w, word(seen))
		for k := range 8 {
			image := word(seen)
			for j, v := range all[:i+1] {
				if k == 0 && i == j {
					continue
				}
				require.GreaterOrEqual(t, bits.OnesCount64(image^v), codeDistance, "%d and %d, image %d", i, j, k)
			}
			if seen = quarterClockwise(seen); k == 3 {
				seen = inMirror(ring(w))
			}
		}
	}
}

// A ring is read in every turn with up to three cells wrong; with four to six, or in a mirror, it is no slip at all.
func TestDecode(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 0x511))
	for range 400 {
		d := Design{Number: 1 + rng.IntN(PerSet), Set: 1 + rng.IntN(Sets), Grey: rng.IntN(2) == 1}
		seen, turns := ring(d.word()), rng.IntN(4)
		for range turns {
			seen = quarterClockwise(seen)
		}
		for wrong := range 7 {
			read := word(seen)
			for _, i := range rng.Perm(cells)[:wrong] {
				read ^= 1 << i
			}
			got, quarters, n, ok := decode(read)
			require.Equal(t, wrong <= mostWrong, ok)
			if ok {
				require.Equal(t, d, got)
				require.Equal(t, turns, quarters)
				require.Equal(t, wrong, n)
			}
		}
		_, _, _, ok := decode(word(inMirror(seen)))
		require.False(t, ok, "in a mirror")
	}
}

// What was printed stays what it is: the first word is that of the message 1, the generator with a bit of parity.
func TestFirstWordStays(t *testing.T) {
	require.Equal(t, uint64(0o166623567<<1|1), Design{Number: 1, Set: 1}.word())
}
