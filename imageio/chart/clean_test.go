package chart_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/colour/camera"
	"huewright/imageio/chart"
	"huewright/imageio/internal/imagetest"
	"huewright/internal/fault"
)

// glaring adds a lamp's reflection over one side of a patch.
func glaring(u float64, c colour.LinearRGB) colour.LinearRGB {
	if u < 0.55 {
		return colour.LinearRGB{R: c.R + 0.2, G: c.G + 0.2, B: c.B + 0.2}
	}
	return c
}

// dirty is a film of brown over a whole patch.
func dirty(c colour.LinearRGB) colour.LinearRGB {
	return colour.LinearRGB{R: 0.30 * c.R, G: 0.18 * c.G, B: 0.10 * c.B}
}

func fitPatches(
	t *testing.T, record func(patch int, u, v float64, c colour.LinearRGB) colour.LinearRGB,
) (*camera.Correction, camera.Report, *chart.Chart, error) {
	t.Helper()
	return chart.Fit(t.Context(), drawPatches(t, func(patch int, u, v float64, c colour.LinearRGB) colour.LinearRGB {
		return record(patch, u, v, dimmed(c))
	}), tiltedCorners, chart.Options{})
}

// A patch in glare and a dirty one are left out and named; the fit is that of a clean chart,
// and the errors left out one by one are worse, not better, for what was dropped.
func TestFitLeavesBadPatchesOut(t *testing.T) {
	const moderateRed, lightGrey = 8, 19
	clean, cleanReport, chart, err := fitPatches(t, func(_ int, _, _ float64, c colour.LinearRGB) colour.LinearRGB { return c })
	require.NoError(t, err)
	require.Empty(t, chart.Warnings)

	correction, report, chart, err := fitPatches(t, func(patch int, u, _ float64, c colour.LinearRGB) colour.LinearRGB {
		switch patch {
		case moderateRed:
			return glaring(u, c)
		case lightGrey:
			return dirty(c)
		}
		return c
	})
	require.NoError(t, err)
	out := map[any]fault.Code{}
	for _, w := range chart.Warnings {
		out[w.Values["patch"]] = w.Values["why"].(fault.Note).Code
	}
	require.Equal(t, map[any]fault.Code{"moderate red": "patch.glare", "light grey": "patch.off"}, out)
	for i, p := range report.Patches {
		require.Equal(t, i != moderateRed && i != lightGrey, p.Used, p.Name)
	}
	require.Equal(t, fault.Code("patch.glare"), report.Patches[moderateRed].Why.Code)
	require.Greater(t, report.Patches[lightGrey].LeftOut, 12.0)
	require.Greater(t, report.LOOMean, cleanReport.LOOMean+0.5, "what was dropped counts")
	wood := colour.LinearRGB{R: 0.3, G: 0.2, B: 0.1}
	require.Less(t, colour.DeltaE2000(clean.Lab(wood), correction.Lab(wood)), 0.5)
}

func TestFitNeedsGreys(t *testing.T) {
	_, _, _, err := fitPatches(t, func(patch int, u, _ float64, c colour.LinearRGB) colour.LinearRGB {
		if patch >= 18 && patch < 22 && u < 0.5 { // the edge of a shadow
			return colour.LinearRGB{R: 0.55 * c.R, G: 0.55 * c.G, B: 0.55 * c.B}
		}
		return c
	})
	f := imagetest.RequireFault(t, err, "chart.few-greys")
	require.Equal(t, fault.Values{"have": 2, "need": 3, "out": []string{"white", "light grey", "grey", "mid grey"}}, f.Values)
}

func TestFitNeedsPatches(t *testing.T) {
	_, _, _, err := fitPatches(t, func(patch int, u, _ float64, c colour.LinearRGB) colour.LinearRGB {
		if patch < 12 {
			c = colour.LinearRGB{R: c.R + 0.02, G: c.G + 0.02, B: c.B + 0.02}
			if u < 0.5 {
				return colour.LinearRGB{R: 1.2 * c.R, G: 1.2 * c.G, B: 1.2 * c.B}
			}
			return colour.LinearRGB{R: 0.7 * c.R, G: 0.7 * c.G, B: 0.7 * c.B}
		}
		return c
	})
	require.Equal(t, 12, imagetest.RequireFault(t, err, "chart.few-patches").Values["have"])
}
