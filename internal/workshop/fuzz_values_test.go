package workshop

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/words"
)

// FuzzChartValues reads measured values of a chart that somebody has spoilt.
func FuzzChartValues(f *testing.F) {
	whole := "white,D50\n"
	for i, p := range camera.Chart24(camera.Since2014) {
		whole += fmt.Sprintf("%d,%.2f,%.2f,%.2f\n", i+1, p.Lab.L, p.Lab.A, p.Lab.B)
	}
	f.Add([]byte(whole))
	f.Add([]byte("# mine\nwhite,D65\ndark brown,37.5,14.4,14.9\n"))
	f.Add([]byte(strings.ReplaceAll(whole, "\n", "\r\n")))
	f.Fuzz(func(t *testing.T, data []byte) {
		patches, err := parseChartValues("mine.csv", data)
		if err != nil {
			says, hint := words.Speaker{}.Fault(err)
			require.Equal(t, fault.Use, fault.KindOf(err), says)
			require.NotEmpty(t, hint, says)
			return
		}
		for _, p := range patches {
			require.True(t, p.Lab.IsFinite(), "%s: %v", p.Name, p.Lab)
		}
	})
}
