package camera

import "huewright/colour/sensor"

// A recordingPrior is what is expected of photos of a kind before anything in them is known.
type recordingPrior struct {
	chart, card, nothing, tieOnly, perPhoto *cameraPrior
	misfit                                  *cameraMisfit
}

// renderedPrior is that of pictures that a camera made to look well.
var renderedPrior = recordingPrior{&chartPrior, &cardPrior, &nothingPrior, &tieOnlyPrior, &perPhotoPrior, &learnedMisfit}

// rawPriors are those of raw photos, whose colours the file's matrices give (colour/sensor): no tones are bent there but by stray light,
// and white was balanced by the photo's own slip, card or chart, or where it shows none by the camera. What is left wrong depends on
// the light alone: the misfits hold what two thirds of the measured sensors leave in the published lights of a kind, as told by their
// white, warm tubes among warm lamps. TestRawSensors of internal/bench holds them to the other third. Our own choice between sizes that
// do.
var rawPriors = map[sensor.Light]*recordingPrior{
	sensor.Daylight:   newRawPrior(cameraMisfit{saturation: 0.015, size: 0.3, length: 30, rough: 0.2}),
	sensor.Lamp:       newRawPrior(cameraMisfit{saturation: 0.03, size: 1.05, length: 30, rough: 0.3}),
	sensor.OtherLight: newRawPrior(cameraMisfit{saturation: 0.03, size: 1.3, length: 30, rough: 0.3}),
}

func newRawPrior(misfit cameraMisfit) *recordingPrior {
	card := cameraPrior{gain: 1, tones: rawTones, field: 0.12, prim: 0.004, root: 0.003}
	nothing := card
	nothing.gain, nothing.exposure = nothingPrior.gain, nothingPrior.exposure
	perPhoto := cameraPrior{tones: plainTones(0.01, 0.003), field: 0.12, prim: 0.002, root: 0.001}
	return &recordingPrior{
		chart: &cameraPrior{gain: 1, tones: plainTones(0.1, 0.03), field: 0.12, prim: 0.1, root: 0.03},
		card:  &card, nothing: &nothing, tieOnly: &card, perPhoto: &perPhoto, misfit: &misfit,
	}
}

// rawTones are the bends by stray light.
var rawTones = plainTones(0.02, 0.005)

// priorOf is what is expected of photos in a kind of light.
func priorOf(light sensor.Light) *recordingPrior {
	if p := rawPriors[light]; p != nil {
		return p
	}
	return &renderedPrior
}

// of is the prior for a fit to so many samples.
func (r *recordingPrior) of(samples int) *cameraPrior {
	if samples < leastOfChart {
		return r.card
	}
	return r.chart
}
