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

// taken are the messages whose words slips have, a bit for each, the lowest of the first for 0. The BCH code with a parity bit has distance
// 10; shortened to 36 bits it has 2¹¹ words. Of these the first are taken, in the order of their messages, that differ enough from all
// before under every turn and mirror: a lexicode in it, which TestLexicode finds again. It is never changed: what was printed must go on
// being read.
// Source of taking the first that differ enough: Conway, Sloane (1986), IEEE Trans. Inf. Theory 32(3), 337–348.
var taken = [1 << messageBits / 64]uint64{
	0xfe2cfdefa21f97f6, 0x6246e0f772e7b8fb, 0x85206039aedade5f, 0x68829382be806a8b,
	0x2cd9e0440e123ae3, 0x22152b52c1056c81, 0x1152f224a70a0064, 0x14402200e0a44200,
	0x028100a00ca801a2, 0x080030c008024028, 0x600020001022c041, 0x0010080040d80080,
	0x04001601a0504026, 0x0001200020020020, 0x0088488608210200, 0x0120401200060040,
	0x1080000800004004, 0x8004403220000002, 0x5000000800000800, 0x002000002440500b,
	0xa0286000102c0201, 0x6000140001008009, 0x0000000002000008, 0x00000800000000c0,
	0x0240004002000028, 0x0808040000008208, 0x0400014000401800, 0x400080000000888a,
	0x0000041820000000, 0x0000020200000800, 0x0004000002040000, 0x2001000000000000,
}

// messageBits are those of a message.
const messageBits = 11

// words are those of all slips.
var words = sync.OnceValue(func() (all []uint64) {
	for m := range uint64(1 << messageBits) {
		if taken[m/64]>>(m%64)&1 == 1 {
			all = append(all, encoded(m))
		}
	}
	return all
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
	for k := range 4 {
		w := turned(read, k)
		for place, v := range words()[:used] {
			if n := bits.OnesCount64(w ^ v); n <= mostWrong {
				return designOf(place), k, n, true // no other is as near: they are 10 apart
			}
		}
	}
	return Design{}, 0, 0, false
}

// used is how many words slips have.
const used = Sets * 2 * PerSet

// isNear reports whether what was read differs from some slip in so many cells or fewer, whichever way it is turned.
func isNear(read uint64, wrong int) bool {
	for k := range 4 {
		w := turned(read, k)
		if slices.ContainsFunc(words()[:used], func(v uint64) bool { return bits.OnesCount64(w^v) <= wrong }) {
			return true
		}
	}
	return false
}
