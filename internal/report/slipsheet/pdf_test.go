package slipsheet

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/imageio/slip"
)

// A sheet that another program draws shows all its slips, at their size.
func TestSheetShowsItsSlips(t *testing.T) {
	drawer, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("needs pdftoppm")
	}
	const dotsPerInch = 110
	for _, opt := range []Options{{Paper: "A4", Set: 1}, {Paper: "Letter", Set: 32, Grey: true}} {
		var file bytes.Buffer
		require.NoError(t, PDF(&file, opt))
		to := filepath.Join(t.TempDir(), "sheet")
		cmd := exec.CommandContext(t.Context(), drawer, "-r", "110", "-png", "-singlefile", "-", to)
		cmd.Stdin = &file
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s", out)
		drawn, err := os.ReadFile(to + ".png")
		require.NoError(t, err)
		p, err := imageio.Decode(t.Context(), drawn, "sheet.png")
		require.NoError(t, err)
		found, err := slip.Find(t.Context(), p)
		require.NoError(t, err)
		require.Len(t, found, slip.PerSet)
		for i, s := range found {
			require.Equal(t, slip.Design{Number: i + 1, Set: opt.Set, Grey: opt.Grey}, s.Design)
			require.InDelta(t, slip.Side/25.4*dotsPerInch, s.Pixels(), 1, "the drawer moves each edge to a whole pixel")
		}
	}
}

// The same sheet has the same bytes, and is one page.
func TestSheetIsTheSameAgain(t *testing.T) {
	var a, b bytes.Buffer
	require.NoError(t, PDF(&a, Options{Paper: "A4", Set: 3}))
	require.NoError(t, PDF(&b, Options{Paper: "A4", Set: 3}))
	require.Equal(t, a.Bytes(), b.Bytes())
	require.Equal(t, 1, bytes.Count(a.Bytes(), []byte("/Type /Page\n")))
}
