package container

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
	"huewright/internal/fixture"
)

// The size that each real file gives is that of its stream, to the blocks that streams are coded in.
func TestStreamsAreAsLargeAsTheirFilesSay(t *testing.T) {
	seen := 0
	for _, path := range append(fixture.NeedShared(t, "formats/exif/*.[Hh][Ee]*"), fixture.NeedShared(t, "formats/heif/*.*")...) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		items, err := readItems(data)
		if err != nil {
			continue // refused by its structure
		}
		for item, kind := range items.kinds {
			claimed, real := items.sizesOf(item, data)
			if kind != "hvc1" && kind != "av01" && kind != "grid" || claimed.wide == 0 {
				continue
			}
			seen++
			require.NotEmpty(t, real)
			for _, r := range real {
				require.GreaterOrEqual(t, r.wide, claimed.wide, "%s: %s", path, kind)
				require.GreaterOrEqual(t, r.high, claimed.high, "%s: %s", path, kind)
				require.Less(t, r.wide, claimed.wide+16, "%s: %s", path, kind)
				require.Less(t, r.high, claimed.high+16, "%s: %s", path, kind)
			}
		}
		s, wrong := items.streamOf(items.primary, data)
		require.Nil(t, wrong, path)
		require.False(t, s.full, path)
	}
	require.Greater(t, seen, 10)
}

// Ten bits, and colour as fine as luma, by the drawn files' own names and the encoder's settings.
func TestStreamsSayHowDeepTheyAre(t *testing.T) {
	for name, want := range map[string]stream{
		"heic/four-fields.heic": {}, "avif/four-fields-turned.avif": {}, "avif/four-fields-10-bit-p3-narrow.avif": {deep: true},
	} {
		data := imagetest.DrawnFile(t, name)
		items, err := readItems(data)
		require.NoError(t, err)
		s, wrong := items.streamOf(items.primary, data)
		require.Nil(t, wrong)
		require.Equal(t, want.deep, s.deep, name)
		require.Positive(t, s.coded, name)
	}
}

// A file that gives a small size for a large picture is refused before anything is decoded.
func TestSizeThatIsNot(t *testing.T) {
	for _, pattern := range []string{"formats/exif/IMG_*.HEIC", "formats/heif/example.heic", "formats/heif/example.avif"} {
		path := fixture.NeedShared(t, pattern)[0]
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		for at := 0; ; {
			next := bytes.Index(data[at:], []byte("ispe"))
			if next < 0 {
				break
			}
			at += next + 8
			binary.BigEndian.PutUint32(data[at:], 64)
			binary.BigEndian.PutUint32(data[at+4:], 64)
		}
		before := imagetest.Allocated()
		_, wrong := Decode(t.Context(), data, Limits{})
		f := imagetest.RequireFault(t, wrong, "photo.false-size", filepath.Base(path))
		require.Equal(t, 64, f.Values["wide"])
		require.Less(t, imagetest.Allocated()-before, uint64(16<<20), filepath.Base(path))
	}
}

// FuzzHEVCSequence and FuzzAV1Sequence hold that headers, however damaged, are read or passed over.
func FuzzHEVCSequence(f *testing.F) {
	items, err := readItems(imagetest.DrawnFile(f, "heic/four-fields.heic"))
	require.NoError(f, err)
	for _, property := range items.properties() {
		if property.kind == "hvcC" {
			f.Add(property.body, []byte{0, 0, 0, 3, 0x42, 1, 1})
		}
	}
	f.Fuzz(func(t *testing.T, hvcC, data []byte) {
		for _, picture := range hevcPictures(hvcC, data) {
			require.Positive(t, picture.wide)
			require.GreaterOrEqual(t, picture.pixels(), int64(0))
		}
	})
}

func FuzzAV1Sequence(f *testing.F) {
	for _, name := range []string{"avif/four-fields-turned.avif", "avif/four-fields-10-bit-p3-narrow.avif"} {
		data := imagetest.DrawnFile(f, name)
		items, err := readItems(data)
		require.NoError(f, err)
		for _, property := range items.properties() {
			if property.kind == "av1C" {
				f.Add(property.body, items.dataOf(items.primary, data))
			}
		}
	}
	f.Fuzz(func(t *testing.T, av1C, data []byte) {
		for _, picture := range av1Pictures(av1C, data) {
			require.True(t, picture.wide > 0 && picture.wide <= 1<<16 && picture.high > 0 && picture.high <= 1<<16, "%+v", picture)
		}
	})
}
