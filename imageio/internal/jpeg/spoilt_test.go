package jpeg

import (
	"bytes"
	"context"
	"image"
	standard "image/jpeg"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fixture"
)

// requireAgreed holds that a file, whatever it is, is left to the standard library, or else is a picture to both, the same.
func requireAgreed(t *testing.T, file []byte) (taken bool) {
	t.Helper()
	p, err := Open(context.Background(), file)
	if err != nil {
		require.ErrorIs(t, err, ErrOther)
		return false
	}
	want, err := standard.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	requireEqual(t, want, p, "file")
	return true
}

// Files are spoilt as transfers and failing disks spoil them, and in the bytes that matter most; whatever is made of them is
// what the standard library makes of them.
func TestSpoiltFiles(t *testing.T) {
	var whole [][]byte
	for _, d := range drawings() {
		if d.wide*d.high < 6000 {
			whole = append(whole, d.draw())
		}
	}
	// Its codes leave no gaps, so that much of what is wrong is codes again.
	noise := image.NewRGBA(image.Rect(0, 0, 70, 50))
	rng := rand.New(rand.NewPCG(20, 25))
	for i := range noise.Pix {
		noise.Pix[i] = uint8(100 + rng.IntN(60))
	}
	for _, quality := range []int{10, 50, 75, 90, 95, 100} {
		var file bytes.Buffer
		require.NoError(t, standard.Encode(&file, noise, &standard.Options{Quality: quality}))
		for range 8 {
			whole = append(whole, file.Bytes())
		}
	}
	for _, name := range []string{"formats/pillow/hopper_orientation_6.jpg", "charts/plantcv/colorchecker-classic-mini.jpg",
		"charts/plantcv/tobacco_leaves.jpg"} {
		if file, err := os.ReadFile(fixture.Shared(name)); err == nil {
			whole = append(whole, file)
		}
	}
	taken, refused := 0, 0
	for range 3000 {
		file := spoil(rng, whole[rng.IntN(len(whole))])
		switch _, err := standard.Decode(bytes.NewReader(file)); {
		case requireAgreed(t, file):
			taken++
		case err != nil:
			refused++
		}
	}
	t.Logf("of 3000 spoilt files %d are read in parts, and the same, %d are refused; the others only the standard library reads", taken,
		refused)
	require.Greater(t, taken, 250)
	require.Greater(t, refused, 1000)
}

// spoil is a file with one to three faults.
func spoil(rng *rand.Rand, whole []byte) []byte {
	file := bytes.Clone(whole)
	for range 1 + rng.IntN(3) {
		at := rng.IntN(len(file))
		if rng.IntN(3) == 0 {
			at = rng.IntN(min(len(file), 700)) // headers
		}
		switch rng.IntN(7) {
		case 0:
			file[at] ^= 1 << rng.IntN(8)
		case 1:
			file[at] = byte(rng.Uint32())
		case 2:
			file = file[:max(at, 2)]
		case 3:
			file = append(file[:at:at], file[min(at+1+rng.IntN(40), len(file)-1):]...)
		case 4:
			file = append(file[:at:at], append([]byte{0xff, byte(0xc0 + rng.IntN(64))}, file[at:]...)...)
		case 5:
			clear(file[at:min(at+1+rng.IntN(30), len(file))])
		case 6:
			from := rng.IntN(len(file))
			copy(file[at:], file[from:min(from+60, len(file))])
		}
	}
	return file
}

// FuzzOpen holds that whatever is taken is what the standard library makes of it.
func FuzzOpen(f *testing.F) {
	for i, d := range drawings() {
		if i%3 == 0 {
			small := *d
			small.wide, small.high = min(d.wide, 70), min(d.high, 40)
			f.Add(small.draw())
		}
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		const longest, most = 1 << 14, 1 << 20 // bytes and pixels
		if len(file) > longest {
			return
		}
		config, err := standard.DecodeConfig(bytes.NewReader(file))
		if err != nil || config.Width*config.Height > most {
			return
		}
		if requireAgreed(t, file) {
			requireGlances(t, file, 37)
		}
	})
}

// All samplings, restarts and kinds of codes are read in parts, and give the standard library's codes.
func TestDrawnFilesAreAsTheStandardLibraryHasThem(t *testing.T) {
	for _, d := range drawings() {
		file := d.draw()
		want, err := standard.Decode(bytes.NewReader(file))
		require.NoError(t, err, "%+v", d)
		p, err := Open(context.Background(), file)
		require.NoError(t, err, "%+v", d)
		require.Equal(t, image.Rect(0, 0, d.wide, d.high), p.Bounds())
		requireEqual(t, want, p, "drawn")
	}
}

// What stands behind the coded data and would bear on colours is heeded as the standard library heeds it.
func TestLateNotesAreHeeded(t *testing.T) {
	var out bytes.Buffer
	img := image.NewRGBA(image.Rect(0, 0, 40, 30))
	for i := range img.Pix {
		img.Pix[i] = uint8(37 * i)
	}
	require.NoError(t, standard.Encode(&out, img, nil))
	file := out.Bytes()
	require.True(t, requireAgreed(t, file))
	body, end := file[:len(file)-2], file[len(file)-2:]
	for _, note := range []string{"\xff\xee\x00\x0eAdobe\x00\x64\x00\x00\x00\x00\x00", "\xff\xe0\x00\x07JFIF\x00", "\xff\xfe\x00\x04hi"} {
		requireAgreed(t, slices.Concat(body, []byte(note), end))
	}
}
