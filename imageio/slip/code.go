package slip

import (
	"math/bits"
	"slices"
	"sync"
)

// The ring holds one bit a cell: 1 is dark. Bit i is the cell i, clockwise from the top left.
const (
	cells   = 36
	perTurn = cells / 4 // a quarter turn moves a word by so many cells

	// codeDistance is in how many cells any two slips differ at least, whichever way each is turned, and whether or not one of them
	// is seen in a mirror; and a slip from itself when it is turned or seen in a mirror.
	codeDistance = 10
	// mostWrong is how many cells of a slip may be misread. The code would allow for 4: the rest is there to refuse what is no slip.
	mostWrong = 3
	// A ring that is nearly all dark or all paper looks like other things.
	fewestDark, mostDark = 10, 26
)

// Sets is how many sets there are.
const Sets = 32

// generator is the generator polynomial of the primitive narrow-sense BCH code of length 63 that corrects 4 errors, over x⁶ + x + 1:
// the product of the minimal polynomials of α, α³, α⁵ and α⁷. TestGenerator works it out.
// Source: Bose, Ray-Chaudhuri (1960), Inf. Control 3(1), 68–79; Hocquenghem (1959), Chiffres 2, 147–156.
const generator uint64 = 0o166623567

// words are those of all slips. The BCH code with a parity bit has distance 10; shortened to 36 bits it has 2¹¹ words. Of these the
// first are taken, in the order of their messages, that differ enough from all before under every turn and mirror: a lexicode in
// it. Which are taken is never changed: what was printed must go on being read.
// Source of taking the first that differ enough: Conway, Sloane (1986), IEEE Trans. Inf. Theory 32(3), 337–348.
var words = sync.OnceValue(func() []uint64 {
	message := cells - 1 - (bits.Len64(generator) - 1)
	var kept []uint64
	for m := uint64(1); m < 1<<message; m++ {
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
	return kept
})

// encoded is the word of a message: the multiple of the generator, and a bit of parity.
func encoded(message uint64) (w uint64) {
	for i := range bits.Len64(message) {
		if message>>i&1 == 1 {
			w ^= generator << i
		}
	}
	return w<<1 | uint64(bits.OnesCount64(w)&1)
}

// turned is a word as it is read when the slip is turned by a quarter, anticlockwise, so many times.
func turned(w uint64, quarters int) uint64 {
	by := perTurn * (quarters & 3)
	return (w>>by | w<<(cells-by)) & (1<<cells - 1)
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

// word is the ring of a slip. It panics where there is no such slip.
func (d Design) word() uint64 {
	if d.Number < 1 || d.Number > PerSet || d.Set < 1 || d.Set > Sets {
		panic("slip: no such slip")
	}
	k := 2 * (d.Set - 1)
	if d.Grey {
		k++
	}
	return words()[k*PerSet+d.Number-1]
}

// designOf is the slip of a word, by its place among words.
func designOf(place int) Design {
	k := place / PerSet
	return Design{Number: place%PerSet + 1, Set: k/2 + 1, Grey: k%2 == 1}
}

// decode is the slip whose ring was read, how often the slip must be turned by a quarter clockwise for what was read, and how many
// cells were misread. It is not ok where no slip is near enough.
func decode(read uint64) (d Design, quarters, wrong int, ok bool) {
	const all = Sets * 2 * PerSet
	for k := range 4 {
		w := turned(read, k)
		for place, v := range words()[:all] {
			if n := bits.OnesCount64(w ^ v); n <= mostWrong {
				return designOf(place), k, n, true // no other is as near: they are 10 apart
			}
		}
	}
	return Design{}, 0, 0, false
}
