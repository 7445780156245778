package imageio

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/png"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"huewright/colour"
	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fixture"
)

// The name of a file does not matter.
func TestDecodeByContent(t *testing.T) {
	want := colour.RGB8{R: 138, G: 90, B: 60}.Linear().Lab()
	for kind, data := range map[string][]byte{"PNG": imagetest.SmallPNG(t), "JPEG": imagetest.SmallJPEG(t), "TIFF": imagetest.SmallTIFF(t)} {
		p, err := Decode(t.Context(), data, "holiday.gif")
		require.NoError(t, err)
		require.Equal(t, kind, p.Format)
		require.Equal(t, "holiday.gif", p.Path)
		require.Equal(t, [2]int{24, 16}, [2]int{p.Width, p.Height})
		require.Equal(t, "sRGB assumed", p.Profile)
		require.Empty(t, p.Warnings)
		require.Less(t, colour.DeltaE2000(want, p.Linear(23, 15).Lab()), 1.0, kind)
		require.Panics(t, func() { p.Linear(24, 0) })
	}
}

// Sixteen bits stay sixteen: one step of 1/65535 is told apart.
func TestSixteenBitsStay(t *testing.T) {
	img := image.NewNRGBA64(image.Rect(0, 0, 2, 1))
	img.SetNRGBA64(0, 0, color.NRGBA64{30000, 30000, 30000, 0xffff})
	img.SetNRGBA64(1, 0, color.NRGBA64{30001, 30000, 30000, 0xffff})
	for _, data := range [][]byte{
		imagetest.Encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, img) }),
		imagetest.Encoded(t, func(b *bytes.Buffer) error { return tiff.Encode(b, img, &tiff.Options{Compression: tiff.Deflate}) }),
	} {
		p, err := Decode(t.Context(), data, "")
		require.NoError(t, err)
		require.Greater(t, p.Linear(1, 0).R, p.Linear(0, 0).R)
		require.InDelta(t, icc.DecodeSRGB(30000.0/65535), p.Linear(0, 0).G, 1e-7)
	}
}

func TestUnusableFiles(t *testing.T) {
	ftyp := func(brands string) []byte {
		return append(binary.BigEndian.AppendUint32(nil, uint32(8+len(brands))), "ftyp"+brands...)
	}
	huge := imagetest.SmallPNG(t)
	binary.BigEndian.PutUint32(huge[16:], 60_000)
	binary.BigEndian.PutUint32(huge[20:], 60_000)
	forged := bytes.Clone(huge)
	binary.BigEndian.PutUint32(huge[29:], crc32.ChecksumIEEE(huge[12:29]))
	cut := imagetest.SmallJPEG(t)
	deep := imagetest.SmallJPEG(t)
	deep[bytes.Index(deep, []byte{0xff, 0xc0})+4] = 12 // bits
	for name, c := range map[string]struct {
		data    []byte
		problem string
	}{
		"empty":         {nil, "the file is empty"},
		"text":          {[]byte("Dear Sir,\nthe cabinet is brown.\n"), "holds text, not a picture"},
		"noise":         {[]byte{1, 2, 3, 4, 250, 251, 252}, "is not a picture of a known kind"},
		"cut JPEG":      {cut[:len(cut)-20], "is a damaged JPEG: it ends too early"},
		"JPEG head":     {cut[:3], "is a damaged JPEG: it ends too early"},
		"12-bit JPEG":   {deep, "is a JPEG of a kind that is not read: precision"},
		"cut PNG":       {imagetest.SmallPNG(t)[:60], "is a damaged PNG: not enough pixel data"},
		"cut TIFF":      {imagetest.SmallTIFF(t)[:300], "is a damaged TIFF: it has no page"},
		"DNG":           {imagetest.TinyTIFF([2]uint16{256, 100}, [2]uint16{262, 2}, [2]uint16{50706, 4}), "is a camera raw file (DNG)"},
		"raw samples":   {imagetest.TinyTIFF([2]uint16{256, 100}, [2]uint16{262, 32803}), "is a camera raw file"},
		"raw signature": {[]byte("IIU\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"), "is a camera raw file"},
		"CMYK TIFF":     {imagetest.TinyTIFF([2]uint16{262, 5}), "is a TIFF in print colours (CMYK), which is not read"},
		"BigTIFF":       {[]byte("II+\x00\x08\x00\x00\x00"), "is a BigTIFF, which is not read"},
		"GIF":           {[]byte("GIF89a"), "is a GIF, which has too few colours to measure"},
		"PDF":           {[]byte("%PDF-1.7\n"), "is a PDF, not a photo"},
		"empty AVIF":    {ftyp("avif\x00\x00\x00\x00avifmif1"), "is a damaged AVIF: it lists no picture"},
		"film":          {ftyp("isom\x00\x00\x02\x00isomiso2"), "is a film, not a photo"},
		"empty HEIC":    {ftyp("heic\x00\x00\x00\x00mif1heic"), "is a damaged HEIC: it lists no picture"},
		"bomb":          {huge, "is 60000 × 60000 pixels, too large to read: the limit for a PNG is 120 megapixels"},
		"bad checksum":  {forged, "is a damaged PNG: invalid checksum"},
	} {
		_, err := Decode(t.Context(), c.data, "x.jpg")
		var fault *PhotoError
		require.ErrorAs(t, err, &fault, name)
		require.Equal(t, c.problem, fault.Problem, name)
		require.NotEmpty(t, fault.Hint(), name)
		require.True(t, strings.HasPrefix(err.Error(), "x.jpg: "), name)
	}
}

func TestOpenFaults(t *testing.T) {
	dir := t.TempDir()
	for path, problem := range map[string]string{
		filepath.Join(dir, "none.jpg"): "no such file",
		dir:                            "is a folder",
	} {
		_, err := Open(t.Context(), path)
		var fault *PhotoError
		require.ErrorAs(t, err, &fault)
		require.Equal(t, problem, fault.Problem)
		require.Equal(t, path, fault.Path)
		require.NotEmpty(t, fault.Hint())
	}
}

// Real files, and why each is refused.
func TestRealFilesRefused(t *testing.T) {
	fixture.NeedShared(t, "formats")
	for file, problem := range map[string]string{
		"sharp/giant-image.jpg":                      "is 20000 × 14000 pixels, too large to read: the limit for a JPEG is 120 megapixels",
		"sharp/truncated.jpg":                        "is a damaged JPEG: it is too short for the size it gives",
		"sharp/truncated.png":                        "is a damaged PNG: not enough pixel data",
		"sharp/corrupt-header.jpg":                   "is a damaged JPEG: it ends too early",
		"pillow/truncated_jpeg.jpg":                  "is a damaged JPEG: it ends too early",
		"pillow/broken_data_stream.png":              "is a damaged PNG: bad filter type",
		"pillow/pil_sample_cmyk.jpg":                 "is in print colours (CMYK) without a profile that says for which press and paper",
		"pillow/hopper_bigtiff.tif":                  "is a BigTIFF, which is not read",
		"exif/corrupted.jpg":                         "is a damaged JPEG: missing 0xff00 sequence",
		"heif/github_44.heic":                        "is a HEIC that cannot be decoded: it is damaged, or coded in a way that is not read",
		"icc/DisplayP3-v4.icc":                       "is a colour profile, not a photo",
		"exif/README.rst":                            "holds text, not a picture",
		"sharp/Channel_digital_image*no_profile.jpg": "is in print colours (CMYK) without a profile that says for which press and paper",
	} {
		for _, path := range fixture.NeedShared(t, "formats/"+file) {
			_, err := Open(t.Context(), path)
			var fault *PhotoError
			require.ErrorAs(t, err, &fault, file)
			require.Equal(t, problem, fault.Problem, file)
		}
	}
}

// Real files, and what is warned of.
func TestRealFilesWarned(t *testing.T) {
	fixture.NeedShared(t, "formats")
	for file, want := range map[string]string{
		"pillow/multipage.tiff":                      "the file has 3 pages: the first is read",
		"pillow/invalid-exif.jpg":                    "what the camera noted about the photo is damaged",
		"sharp/gain-map.jpg":                         "gain map",
		"sharp/Channel_digital_image_CMYK_color.jpg": "read by the press profile",
		"pillow/icc-after-SOF.jpg":                   "the colour profile is not an ICC profile",
		"sharp/tbgn2c16.png":                         "the file gives a gamma of 1.00 and no colour profile",
	} {
		p, err := Open(t.Context(), fixture.Shared("formats", file))
		require.NoError(t, err)
		require.Contains(t, fmt.Sprint(p.Warnings), want, file)
	}
}

// The facts of a real photo, as its own notes have them.
func TestShootingFacts(t *testing.T) {
	p, err := Open(t.Context(), fixture.NeedShared(t, "formats/sharp/tifftag-*.tiff")[0])
	require.NoError(t, err)
	require.Equal(t, "2018-10-12 14:45:38", p.Facts.Taken.Format("2006-01-02 15:04:05"))
	require.InDelta(t, 1.0/60, p.Facts.Exposure, 1e-9)
	require.Equal(t, 8.0, p.Facts.Aperture)
	require.Equal(t, 800, p.Facts.ISO)
	require.Equal(t, 42.5, p.Facts.FocalLength)
	require.Equal(t, "manual", p.Facts.WhiteBalance)
	require.False(t, p.Facts.Flash)
	require.NotEmpty(t, p.Facts.Make)
	require.Contains(t, p.Profile, "RGB (1998)")

	require.Contains(t, ShootingFacts{Flash: true}.Warnings()[0].String(), "flash")
	require.Contains(t, ShootingFacts{Scene: "night"}.Warnings()[0].String(), "night")
}
