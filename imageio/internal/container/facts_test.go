package container

import (
	"testing"

	"github.com/bep/imagemeta"
	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

func TestDifferences(t *testing.T) {
	day := ShootingFacts{WhiteBalance: "auto", ExposureMode: "auto", Model: "one", ISO: 100}
	require.Empty(t, day.Differences(day))
	require.Empty(t, day.Differences(ShootingFacts{}), "what is not told is not held against a photo")
	later := day
	later.ISO, later.Exposure = 400, 0.01
	require.Empty(t, day.Differences(later), "an automatic exposure is for the reference to mend")

	for want, change := range map[fault.Code]func(*ShootingFacts){
		"photo.other-white-balance": func(f *ShootingFacts) { f.WhiteBalance = "manual" },
		"photo.other-exposure":      func(f *ShootingFacts) { f.ExposureMode = "manual" },
		"photo.other-flash":         func(f *ShootingFacts) { f.Flash = true },
		"photo.other-night":         func(f *ShootingFacts) { f.Scene = "night" },
		"photo.other-hdr":           func(f *ShootingFacts) { f.HDR = true },
		"photo.other-camera":        func(f *ShootingFacts) { f.Model = "two" },
	} {
		other := day
		change(&other)
		require.Equal(t, []fault.Code{want}, imagetest.Codes(day.Differences(other)))
	}
}

// What EXIF says of the modes a phone was in, by the numbers of CIPA DC-008, tags 0xA401 to
// 0xA406; a special process by its number is common practice, no source.
func TestModesNoted(t *testing.T) {
	exif := imagetest.TinyTIFF([2]uint16{0xA401, 3}, [2]uint16{0xA402, 1}, [2]uint16{0xA403, 1}, [2]uint16{0xA406, 3})
	n, whole := readFacts(exif, imagemeta.TIFF)
	require.True(t, whole)
	require.True(t, n.HDR)
	require.Equal(t, "manual", n.ExposureMode)
	require.Equal(t, "manual", n.WhiteBalance)
	require.Equal(t, "night", n.Scene)
	require.Len(t, n.Warnings(), 2)
}
