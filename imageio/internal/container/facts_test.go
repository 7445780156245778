package container

import (
	"testing"

	"github.com/bep/imagemeta"
	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
)

func TestDifferences(t *testing.T) {
	day := ShootingFacts{WhiteBalance: "auto", ExposureMode: "auto", Model: "one", ISO: 100}
	require.Empty(t, day.Differences(day))
	require.Empty(t, day.Differences(ShootingFacts{}), "what is not told is not held against a photo")
	later := day
	later.ISO, later.Exposure = 400, 0.01
	require.Empty(t, day.Differences(later), "an automatic exposure is for the reference to mend")

	for want, change := range map[string]func(*ShootingFacts){
		"white balance auto in one and manual in the other": func(f *ShootingFacts) { f.WhiteBalance = "manual" },
		"exposure auto in one and manual in the other":      func(f *ShootingFacts) { f.ExposureMode = "manual" },
		"flash in one and not in the other":                 func(f *ShootingFacts) { f.Flash = true },
		"night mode in one and not in the other":            func(f *ShootingFacts) { f.Scene = "night" },
		"HDR in one and not in the other":                   func(f *ShootingFacts) { f.HDR = true },
		"taken with two cameras":                            func(f *ShootingFacts) { f.Model = "two" },
	} {
		other := day
		change(&other)
		require.Equal(t, []string{want}, day.Differences(other))
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
