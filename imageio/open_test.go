package imageio

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"huewright/colour"
	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
	"huewright/internal/fixture"
)

// The name of a file does not matter.
func TestDecodeByContent(t *testing.T) {
	want := colour.RGB8{R: 138, G: 90, B: 60}.Linear().Lab()
	for kind, data := range map[string][]byte{
		"PNG": imagetest.SmallPNG(t), "JPEG": imagetest.SmallJPEG(t), "TIFF": imagetest.SmallTIFF(t),
	} {
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
		data []byte
		code fault.Code
	}{
		"empty":         {nil, "photo.empty"},
		"text":          {[]byte("Dear Sir,\nthe cabinet is brown.\n"), "photo.text"},
		"noise":         {[]byte{1, 2, 3, 4, 250, 251, 252}, "photo.no-picture"},
		"cut JPEG":      {cut[:len(cut)-20], "photo.cut-short"},
		"JPEG head":     {cut[:3], "photo.cut-short"},
		"12-bit JPEG":   {deep, "photo.unknown-kind"},
		"cut PNG":       {imagetest.SmallPNG(t)[:60], "photo.damaged"},
		"cut TIFF":      {imagetest.SmallTIFF(t)[:300], "photo.damaged"},
		"DNG":           {imagetest.TinyTIFF([2]uint16{256, 100}, [2]uint16{262, 2}, [2]uint16{50706, 4}), "photo.raw"},
		"raw samples":   {imagetest.TinyTIFF([2]uint16{256, 100}, [2]uint16{262, 32803}), "photo.raw"},
		"raw signature": {[]byte("IIU\x00\x08\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00"), "photo.raw"},
		"CMYK TIFF":     {imagetest.TinyTIFF([2]uint16{262, 5}), "photo.tiff-kind"},
		"BigTIFF":       {[]byte("II+\x00\x08\x00\x00\x00"), "photo.big-tiff"},
		"GIF":           {[]byte("GIF89a"), "photo.gif"},
		"PDF":           {[]byte("%PDF-1.7\n"), "photo.pdf"},
		"empty AVIF":    {ftyp("avif\x00\x00\x00\x00avifmif1"), "photo.damaged"},
		"film":          {ftyp("isom\x00\x00\x02\x00isomiso2"), "photo.film"},
		"empty HEIC":    {ftyp("heic\x00\x00\x00\x00mif1heic"), "photo.damaged"},
		"bomb":          {huge, "photo.many-pixels"},
		"bad checksum":  {forged, "photo.damaged"},
	} {
		_, err := Decode(t.Context(), c.data, "x.jpg")
		f := imagetest.RequireFault(t, err, c.code, name)
		require.Equal(t, fault.Photo, f.Kind)
		require.Equal(t, fault.Place{File: "x.jpg"}, f.Place)
	}
}

func TestOpenFaults(t *testing.T) {
	dir := t.TempDir()
	for path, code := range map[string]fault.Code{
		filepath.Join(dir, "none.jpg"): "photo.no-file",
		dir:                            "photo.folder",
	} {
		_, err := Open(t.Context(), path)
		require.Equal(t, path, imagetest.RequireFault(t, err, code).Place.File)
	}
}

// Real files, and why each is refused.
func TestRealFilesRefused(t *testing.T) {
	fixture.NeedShared(t, "formats")
	for file, code := range map[string]fault.Code{
		"sharp/giant-image.jpg":                      "photo.many-pixels",
		"sharp/truncated.jpg":                        "photo.cut-short",
		"sharp/truncated.png":                        "photo.damaged",
		"sharp/corrupt-header.jpg":                   "photo.cut-short",
		"pillow/truncated_jpeg.jpg":                  "photo.cut-short",
		"pillow/broken_data_stream.png":              "photo.damaged",
		"pillow/pil_sample_cmyk.jpg":                 "photo.inks-without-profile",
		"pillow/hopper_bigtiff.tif":                  "photo.big-tiff",
		"exif/corrupted.jpg":                         "photo.damaged",
		"heif/github_44.heic":                        "photo.undecodable",
		"icc/DisplayP3-v4.icc":                       "photo.profile",
		"exif/README.rst":                            "photo.text",
		"sharp/Channel_digital_image*no_profile.jpg": "photo.inks-without-profile",
	} {
		for _, path := range fixture.NeedShared(t, "formats/"+file) {
			_, err := Open(t.Context(), path)
			imagetest.RequireFault(t, err, code, file)
		}
	}
}

// Real files, and what is warned of.
func TestRealFilesWarned(t *testing.T) {
	fixture.NeedShared(t, "formats")
	for file, want := range map[string]fault.Code{
		"pillow/multipage.tiff":                      "photo.pages",
		"pillow/invalid-exif.jpg":                    "photo.exif-damaged",
		"sharp/gain-map.jpg":                         "photo.gain-map",
		"sharp/Channel_digital_image_CMYK_color.jpg": "photo.inks",
		"pillow/icc-after-SOF.jpg":                   "photo.profile-damaged",
		"sharp/tbgn2c16.png":                         "photo.gamma",
	} {
		p, err := Open(t.Context(), fixture.Shared("formats", file))
		require.NoError(t, err)
		require.Contains(t, imagetest.Codes(p.Warnings), want, file)
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

	require.Equal(t, fault.Code("photo.flash"), ShootingFacts{Flash: true}.Warnings()[0].Code)
	require.Equal(t, fault.Code("photo.night-mode"), ShootingFacts{Scene: "night"}.Warnings()[0].Code)
}

// A photo that is opened is what its bytes decode to, whatever has happened to it.
func TestOpenedAsDecoded(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 0x0fe7))
	img := image.NewNRGBA(image.Rect(0, 0, 80, 60))
	for i := range img.Pix {
		img.Pix[i] = uint8(i/7 + rng.IntN(60))
	}
	var whole bytes.Buffer
	require.NoError(t, jpeg.Encode(&whole, img, &jpeg.Options{Quality: 90}))
	path := filepath.Join(t.TempDir(), "photo.jpg")
	opened := 0
	for trial := range 60 {
		file := bytes.Clone(whole.Bytes())
		switch {
		case trial%3 == 1:
			file[len(file)/4+rng.IntN(len(file)*3/4)] ^= 1 << rng.IntN(8)
		case trial%3 == 2:
			file = file[:len(file)/2+rng.IntN(len(file)/2)]
		}
		require.NoError(t, os.WriteFile(path, file, 0o600))
		want, wrong := Decode(t.Context(), bytes.Clone(file), path)
		got, err := Open(t.Context(), path)
		if wrong != nil {
			require.EqualError(t, err, wrong.Error())
			continue
		}
		require.NoError(t, err)
		for i := range want.Width * want.Height {
			x, y := i%want.Width, i/want.Width
			require.Equal(t, want.Linear(x, y), got.Linear(x, y), "trial %d", trial)
		}
		opened++
	}
	require.Greater(t, opened, 20)
	require.Less(t, opened, 60)
}
