package chart

import (
	"math"
	"slices"
	"sync"

	"huewright/colour/camera"
	"huewright/internal/fault"
	"huewright/internal/stat"
)

// A logLight is what a picture shows at a patch: natural logarithms of linear red, green and blue.
type logLight struct {
	log    [3]float64
	inside bool // the picture
}

const (
	darkest  = 0.004 // of light, where logarithms are cut off
	worstLog = 0.6   // that any one patch may count, in natural logarithms of light
	// oddMisfit is from what ΔE00 on a patch does not show its own colour: something lies on it, or the light
	// glares there.
	oddMisfit = 12.0
)

// robustMisfits fits the camera model to the patches that agree with one another and returns
// the misfit of all in ΔE00.
func robustMisfits(samples []camera.Sample, outside []bool, want *wantedLogs) []float64 {
	var seen [chartPatches]logLight
	for i, s := range samples {
		seen[i].inside = !outside[i]
		for k, v := range [3]float64{s.Camera.R, s.Camera.G, s.Camera.B} {
			seen[i].log[k] = math.Log(max(v, darkest))
		}
	}
	const oddLog, rounds = 0.5, 3
	use := make([]bool, len(samples))
	for i, m := range logMisfits(seen, want) {
		use[i] = m < oddLog && samples[i].Skip.Empty()
	}
	chosen := slices.Clone(samples)
	var misfits []float64
	for range rounds {
		var kept []float64
		for i := range chosen {
			chosen[i].Skip = fault.Note{}
			if !use[i] {
				chosen[i].Skip = fault.Say(fault.Said, "text", "it does not fit the others") // nobody reads it
			}
		}
		misfits = camera.Misfits(chosen)
		for i, m := range misfits {
			if use[i] {
				kept = append(kept, m)
			}
		}
		if len(kept) == 0 {
			break
		}
		limit := max(oddMisfit, 3*stat.Quantile(kept, 0.5))
		changed := false
		for i, m := range misfits {
			good := !outside[i] && m <= limit && samples[i].Skip.Empty()
			changed = changed || good != use[i]
			use[i] = good
		}
		if !changed {
			break
		}
	}
	return misfits
}

// wantedLogs are the colours of a chart's patches as logarithms of linear sRGB.
type wantedLogs [chartPatches][3]float64

// publishedLogs are those of the published colours.
var publishedLogs = sync.OnceValue(func() *wantedLogs { return logsOf(camera.Chart24(camera.Since2014)) })

func logsOf(patches [chartPatches]camera.ChartPatch) *wantedLogs {
	logs := &wantedLogs{}
	for i, patch := range patches {
		c := patch.Lab.LinearRGB()
		for k, v := range [3]float64{c.R, c.G, c.B} {
			logs[i][k] = math.Log(max(v, 0.02))
		}
	}
	return logs
}

// logs are those that a search looks for.
func (o Options) logs() *wantedLogs {
	if o.Values != nil {
		return logsOf(*o.Values)
	}
	return publishedLogs()
}

// logMisfit is how far the colours at 24 places are from the chart's after the linear map of
// logarithms that suits most of them. Patches that something else covers count at most
// worstLog each, and so do those outside the picture.
func logMisfit(seen [chartPatches]logLight, want *wantedLogs) float64 {
	misfits := logMisfits(seen, want)
	sum := 0.0
	for _, m := range misfits {
		sum += min(m, worstLog)
	}
	return sum / float64(len(misfits))
}

// logMisfits are the same patch by patch; +Inf outside the picture. Each patch is weighed by
// its own misfit in the round before, so that a few odd ones have no say.
func logMisfits(seen [chartPatches]logLight, want *wantedLogs) [chartPatches]float64 {
	const rounds, soft = 8, 0.12
	var misfits, weight [chartPatches]float64
	for i := range weight {
		if seen[i].inside {
			weight[i] = 1
		}
	}
	for range rounds {
		by := weightedMap(seen, want, weight)
		for i := range seen {
			misfits[i] = math.Inf(1)
			if !seen[i].inside {
				continue
			}
			square := 0.0
			for k := range 3 {
				d := by[k][0] - want[i][k]
				for m, v := range seen[i].log {
					d += by[k][m+1] * v
				}
				square += d * d
			}
			misfits[i] = math.Sqrt(square / 3)
			weight[i] = 1 / (1 + square/3/(soft*soft))
		}
	}
	return misfits
}

// weightedMap is the affine map from seen to wanted by weighted least squares, held softly to
// the identity so that few or equal colours cannot make it run wild.
func weightedMap(seen [chartPatches]logLight, want *wantedLogs, weight [chartPatches]float64) [3][4]float64 {
	const hold = 0.05
	var normal [4][4]float64
	var right [3][4]float64
	for i := range seen {
		x := [4]float64{1, seen[i].log[0], seen[i].log[1], seen[i].log[2]}
		for a := range x {
			for b := range x {
				normal[a][b] += weight[i] * x[a] * x[b]
			}
			for k := range right {
				right[k][a] += weight[i] * x[a] * want[i][k]
			}
		}
	}
	for a := range normal {
		normal[a][a] += hold
		if a > 0 {
			right[a-1][a] += hold
		}
	}
	stat.Solve4(&normal, right[:])
	return right
}
