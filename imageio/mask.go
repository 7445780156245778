package imageio

// A mask is one bit for each of many places, row by row.
type mask struct {
	high   int
	across int // words in a row; the first place is the lowest bit of the first
	words  []uint64
}

func newMask(wide, high int) *mask {
	across := (wide + 63) / 64
	return &mask{high, across, make([]uint64, across*high)}
}

func (m *mask) row(y int) []uint64 { return m.words[y*m.across:][:m.across] }

// eight are the bits of eight places side by side, the first of which has a number that eight divides.
func (m *mask) eight(x, y int) uint8 { return uint8(m.words[y*m.across+x/64] >> (x % 64)) }

// grow sets whatever lies so many places from what is set, or less, both across and down.
func (m *mask) grow(reach int) {
	for y := range m.high {
		row := m.row(y)
		for range reach {
			before := uint64(0) // the last bit of the word before, as it was
			for i, word := range row {
				after := uint64(0)
				if i+1 < len(row) {
					after = row[i+1] << 63
				}
				row[i] = word | word<<1 | before | word>>1 | after
				before = word >> 63
			}
		}
	}
	old := append([]uint64(nil), m.words...)
	for y := range m.high {
		row := m.row(y)
		for near := max(y-reach, 0); near <= min(y+reach, m.high-1); near++ {
			for i, word := range old[near*m.across:][:m.across] {
				row[i] |= word
			}
		}
	}
}
