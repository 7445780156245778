package blend

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestForesee(t *testing.T) {
	ask, colours := pieceOf([]wood{{name: "frame", surface: Sealed, mean: ash}})
	w := scattered(64, 0.1, []*Coating{redWash}, colours)
	a := ask.Areas[0]
	coats := []Laid{{0, 2}}
	for name, c := range map[string]struct {
		coats    float64
		surprise string // "" for none
	}{
		"as said":      {2, ""},
		"a little off": {2.2, ""},
		"half as much": {0.6, "thinner than said"},
		"much more":    {6, "stronger than said"},
	} {
		f := Foresee(w, a, coats, Measured{Lab: colourOver(redWash, ash, c.coats)})
		require.Equal(t, c.surprise != "", f.Surprise(), "%s: %.1f off, ± %.1f", name, f.DeltaE, f.PlusMinus)
		require.Contains(t, strings.Join(f.Causes(ash), "; "), c.surprise, name)
	}
	other := Foresee(w, a, coats, Measured{Lab: colourOver(mudGlaze, ash, 2)})
	require.True(t, other.Surprise())
	require.NotEmpty(t, other.Causes(ash))
}
