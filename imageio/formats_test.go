package imageio

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// sharedData is the folder of real photos and published tables beside the repository.
const sharedData = "../../shared/data"

// needData skips a test where that folder is missing.
func needData(t testing.TB, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(sharedData, pattern))
	require.NoError(t, err)
	if len(paths) == 0 {
		t.Skipf("needs %s/%s, which is not here", sharedData, pattern)
	}
	return paths
}

// Every file of the collection opens or is refused with a way on. Run with -v for the table.
func TestEveryFormat(t *testing.T) {
	needData(t, "formats")
	err := filepath.WalkDir(filepath.Join(sharedData, "formats"), func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		name := filepath.Base(filepath.Dir(path)) + "/" + filepath.Base(path)
		p, err := Open(path)
		if err != nil {
			var fault *PhotoError
			require.ErrorAs(t, err, &fault, name)
			require.Equal(t, path, fault.Path)
			require.NotEmpty(t, fault.Hint(), name)
			t.Logf("%-50s refused: %s [%s]", name, fault.Problem, fault.Advice)
			return nil
		}
		p.Linear(0, 0)
		p.Linear(p.Width-1, p.Height-1)
		t.Logf("%-50s %s %d×%d %q %+v %s", name, p.Format, p.Width, p.Height, p.Profile, p.Facts, strings.Join(p.Warnings, "; "))
		return nil
	})
	require.NoError(t, err)
}
