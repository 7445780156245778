package chart

import (
	"math"
	"slices"

	"huewright/colour/camera"
	"huewright/internal/fault"
)

// explainsBetter is how much of the error of patches left out of the fit may be left, at most, where a chart in two lights is read as in
// one of them, over leaving out the patches that are worst. Our own choice: glare on two patches looks like a second light until it is read
// as one.
const explainsBetter = 0.9

// evenOut reads a chart that lies in two lights as it would be in the first alone, and warns of the second. It does nothing where one light
// explains the chart, but for few bad patches, as well.
func (c *Chart) evenOut() {
	lights, ok := camera.FindLights(c.Samples)
	if !ok {
		return
	}
	even := Chart{Samples: lights.Relit(c.Samples), change: c.change, light: c.light}
	if even.leftOut() > explainsBetter*c.leftOut() {
		return
	}
	c.Samples = even.Samples
	c.Warnings = append(c.Warnings, c.saysLights(&lights))
}

// leftOut is the mean error of the patches when each is left out of the fit, bad ones out of all.
func (c *Chart) leftOut() float64 {
	alone := Chart{Samples: slices.Clone(c.Samples), change: c.change, light: c.light}
	_, report, err := alone.fitClean()
	if err != nil {
		return math.Inf(1)
	}
	return report.LOOMean
}

// saysLights is what is said of the lights on a chart.
func (c *Chart) saysLights(l *camera.Lights) fault.Note {
	if l.Second == nil {
		if math.Abs(l.Hue) > math.Abs(l.Change) {
			return fault.Say("chart.hue-changes")
		}
		return fault.Say("chart.light-changes", "share", -math.Expm1(-math.Abs(l.Change)))
	}
	inSecond := func(is bool) (names []string) {
		for i, second := range l.Second {
			if second == is {
				names = append(names, c.Samples[i].Name)
			}
		}
		return names
	}
	if math.Abs(l.Hue) > math.Abs(l.Change) {
		names := inSecond(true)
		return fault.Say("chart.second-light", "patches", few(names), "more", more(names))
	}
	names := inSecond(l.Change < 0)
	return fault.Say("chart.shadow", "share", -math.Expm1(-math.Abs(l.Change)), "patches", few(names), "more", more(names))
}
