package losslessjpeg

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"
)

// byHand is two lines of three samples of 8 bits, coded on paper: categories 0 to 3 have the codes 0, 10, 110 and 1110.
func byHand(predictor, shift byte, coded ...byte) []byte {
	data := []byte{0xff, 0xd8}
	data = append(data, 0xff, 0xc4, 0, 2+17+4, 0, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 2, 3)
	data = append(data, 0xff, 0xc3, 0, 11, 8, 0, 2, 0, 3, 1, 0, 0x11, 0)
	data = append(data, 0xff, 0xda, 0, 8, 1, 0, 0, predictor, 0, shift)
	return append(append(data, coded...), 0xff, 0xd9)
}

func TestDecodeByHand(t *testing.T) {
	// First line: +2 is 110 10, +1 is 10 1, 0 is 0. Second line: −1 is 10 0, −4 is 1110 011, 0 is 0.
	// 11010101 01001110 0110.... filled with ones
	coded := []byte{0b11010101, 0b01001110, 0b01101111}
	for predictor, second := range map[byte][3]uint16{
		1: {129, 125, 125},     // 129, 129−4, 125
		2: {129, 131 - 4, 131}, // above
		3: {129, 130 - 4, 131}, // above to the left
		4: {129, 130 - 4, 126}, // 129+131−130 = 130; 126+131−131
		5: {129, 129 - 4, 125}, // 129 + (131−130)>>1 = 129; 125 + 0
		6: {129, 130 - 4, 128}, // 131 + (129−130)>>1 = 130; 131 + (126−131)>>1 = 128
		7: {129, 130 - 4, 128}, // (129+131)/2; (126+131)>>1 = 128
	} {
		into := make([]uint16, 6)
		frame, err := Decode(t.Context(), byHand(predictor, 0, coded...), into, Options{})
		require.NoError(t, err, predictor)
		require.Equal(t, Frame{3, 2, 1, 8}, frame)
		require.Equal(t, append([]uint16{130, 131, 131}, second[:]...), into, "predictor %d", predictor)
	}
	// With two bits dropped the first guess is 32, and all is a quarter.
	into := make([]uint16, 6)
	_, err := Decode(t.Context(), byHand(1, 2, coded...), into, Options{})
	require.NoError(t, err)
	require.Equal(t, []uint16{34 * 4, 35 * 4, 35 * 4, 33 * 4, 29 * 4, 29 * 4}, into)
}

func TestRefusals(t *testing.T) {
	into := make([]uint16, 6)
	decode := func(data []byte) error {
		_, err := Decode(t.Context(), data, into, Options{})
		return err
	}
	require.ErrorIs(t, decode(byHand(1, 0, 0b11010101)), ErrShort)
	require.ErrorIs(t, decode(byHand(0, 0)), ErrOther) // a difference frame
	require.ErrorIs(t, decode([]byte("no JPEG at all")), ErrOther)
	require.ErrorIs(t, decode([]byte{0xff, 0xd8, 0xff, 0xc0, 0, 2}), ErrOther)
	require.Error(t, decode(byHand(1, 0, 0b11110101, 0b11110101, 0, 0))) // a code that there is not
	require.Error(t, decode(byHand(1, 8, 0)))
	_, err := Decode(t.Context(), byHand(1, 0, 0), make([]uint16, 5), Options{})
	require.Error(t, err)
	ended, end := context.WithCancel(t.Context())
	end()
	_, err = Decode(ended, byHand(1, 0, 0b11010101, 0b01001110, 0b01101111), into, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func FuzzDecode(f *testing.F) {
	f.Add(byHand(1, 0, 0b11010101, 0b01001110, 0b01101111))
	f.Add(byHand(6, 1, 0xff, 0, 0xff, 0, 0xff, 0))
	f.Fuzz(func(t *testing.T, data []byte) {
		frame, err := Size(data)
		if err != nil || frame.Samples() > 1<<20 {
			return
		}
		_, _ = Decode(t.Context(), data, make([]uint16, frame.Samples()), Options{LongCategory16: len(data)%2 == 0})
	})
}
