package imageio

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"testing"

	"huewright/internal/fixture"

	"github.com/stretchr/testify/require"
	"huewright/internal/fault"
)

// What of the collection is refused, and rightly: texts and profiles, which are not photos;
// damaged files; too large ones; camera raw; print colours without a profile; a kind of TIFF not read.
// TestRealFilesRefused holds the reasons.
var refused = []string{
	"raw/*", "*/LICENSE", "*/license", "*/COPYING", "*/README.rst", "icc/*", "sharp/*.icc",
	"exif/corrupted.jpg", "heif/github_44.heic", "heif/github_49.heic", "pillow/broken_data_stream.png",
	"pillow/hopper_bad_exif.jpg", "pillow/truncated_*", "sharp/truncated.*", "sharp/corrupt-header.jpg",
	"sharp/giant-image.jpg", "pillow/pil_sample_cmyk.jpg", "sharp/Channel_*_no_profile.jpg", "pillow/hopper_bigtiff.tif",
}

// Every file of the collection measures, but those that are rightly refused, with a way on. Run
// with -v for the table.
func TestEveryFormat(t *testing.T) {
	fixture.NeedShared(t, "formats")
	err := filepath.WalkDir(fixture.Shared("formats"), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name := filepath.Base(filepath.Dir(path)) + "/" + filepath.Base(path)
		p, err := Open(t.Context(), path)
		require.Equal(t, slices.ContainsFunc(refused, func(pattern string) bool {
			match, _ := filepath.Match(pattern, name)
			return match
		}), err != nil, "%s: %v", name, err)
		if err != nil {
			require.Equal(t, fault.Photo, fault.KindOf(err), name)
			require.Equal(t, path, fault.Of(err).Place.File)
			t.Logf("%-50s refused: %v", name, err)
			return nil
		}
		p.Linear(0, 0)
		p.Linear(p.Width-1, p.Height-1)
		t.Logf("%-50s %s %d×%d %q %+v %s", name, p.Format, p.Width, p.Height, p.Profile, p.Facts, fmt.Sprint(p.Warnings))
		return nil
	})
	require.NoError(t, err)
}
