package workshop

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/blend/plan"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
)

func TestReadCandidates(t *testing.T) {
	all, err := parseCandidates("swatches.csv", []byte("\ufeffname,colour,hiding\r\n# from the shop\r\n\"brown, burnt\",#808080,0.3\r\n\r\n"+
		"amber, 48, 22.5, -3\r\nwalnut,32,8,14,1\r\nplain,#000000,\r\n"), piece.Limits{})
	require.NoError(t, err)
	require.Len(t, all, 4)
	require.Equal(t, "brown, burnt", all[0].Name)
	require.InDelta(t, 53.59, all[0].Chip.L, 0.01) // of mid-grey in sRGB
	require.Equal(t, 0.3, all[0].Hiding)
	require.Equal(t, plan.Candidate{Name: "amber", Chip: colour.Lab{L: 48, A: 22.5, B: -3}}, all[1])
	require.Equal(t, plan.Candidate{Name: "walnut", Chip: colour.Lab{L: 32, A: 8, B: 14}, Hiding: 1}, all[2])
	require.Equal(t, plan.Candidate{Name: "plain"}, all[3])
}

// What is wrong with a list is told with its line, and with what to do.
func TestBadCandidates(t *testing.T) {
	many := ""
	for i := range mostCandidates + 1 {
		many += fmt.Sprintf("c%d,#808080\n", i)
	}
	for text, want := range map[string]string{
		"":                                    "swatch.empty 0",
		"name,colour\n":                       "swatch.empty 0",
		"brown,#808080\namber\n":              "swatch.fields 2",
		"a,1,2,3,0.5,6\n":                     "swatch.fields 1",
		"brown,#80\n":                         "colour.hex 1",
		"\n,#808080\n":                        "swatch.no-name 2",
		"a,1,b,3\n":                           "swatch.not-a-number 1",
		"a,101,0,0\n":                         "piece.lab-range 1",
		"a,NaN,0,0\n":                         "piece.lab-range 1",
		"a,#808080,0\n":                       "swatch.hiding 1",
		"a,#808080,much\n":                    "swatch.hiding 1",
		"\"a,#1\n\"b\",#808080":               "swatch.quotes 1",
		"a,#808080\n\"b,#808080\nc,#808080\n": "swatch.quotes 2", // where it opens
		"5\" b,#808080\n":                     "swatch.quotes 1",

		"a,#808080\nb,#808080\na,#ffffff\n":     "swatch.twice 3",
		strings.Repeat("n", 201) + ",#808080\n": "swatch.long-name 1",
		many:                                    fmt.Sprintf("swatch.too-many %d", mostCandidates+1),
	} {
		_, err := parseCandidates("swatches.csv", []byte(text), piece.Limits{})
		require.Error(t, err, "%.40q", text)
		f := fault.Of(err)
		require.Equal(t, want, fmt.Sprintf("%s %d", f.Code, f.Place.Line), "%.40q", text)
		require.Equal(t, "swatches.csv", f.Place.File)
	}
}

// FuzzCandidates reads lists of colours that somebody has spoilt.
func FuzzCandidates(f *testing.F) {
	f.Add([]byte("name,colour,hiding\nburnt brown,#6a3b22,0.3\namber,48,22.5,43\n"))
	f.Add([]byte("\ufeff# mine\r\n\"brown, burnt\",32,18,22,0.5\r\n"))
	f.Add([]byte("a\"b,\"c\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		all, err := parseCandidates("swatches.csv", data, piece.Limits{})
		if err != nil {
			says, hint := words.Speaker{}.Fault(err)
			require.Equal(t, fault.Use, fault.KindOf(err), says)
			require.NotEmpty(t, hint, says)
			return
		}
		require.NotEmpty(t, all)
		require.LessOrEqual(t, len(all), mostCandidates)
		for _, c := range all {
			require.NotEmpty(t, c.Name)
			require.True(t, c.Chip.IsFinite() && c.Hiding >= 0 && c.Hiding <= 1, "%v", c)
		}
	})
}
