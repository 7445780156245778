package workshop

import (
	"context"
	"math"

	"huewright/colour"
	"huewright/imageio"
	"huewright/imageio/sample"
	"huewright/internal/fault"
	"huewright/internal/piece"
)

// A Difference between a reference colour and a sample, by every formula the trade quotes.
type Difference struct {
	DeltaE2000, DeltaE76, DeltaE94, DeltaECMC float64
	PlusMinus                                 float64    // of DeltaE2000, 95 %; 0 when both colours were typed in
	Words                                     fault.Note // how the sample differs
}

// Differ compares two colours.
func Differ(ref, sample colour.Lab) Difference {
	return Difference{
		DeltaE2000: colour.DeltaE2000(ref, sample),
		DeltaE76:   colour.DeltaE76(ref, sample),
		DeltaE94:   colour.DeltaE94(ref, sample),
		DeltaECMC:  colour.DeltaECMC(ref, sample, 2, 1), // 2:1 is what acceptability is judged with
		Words:      colour.DescribeDifference(ref, sample),
	}
}

// differ compares two readings of one photo, at two places of it.
func (s *calibratedPhoto) differ(ref, one colour.Reading, refAt, sampleAt imageio.Point) Difference {
	d := Differ(ref.Mean, one.Mean)
	shared := s.correction.PlusMinusBetween(ref.Mean, one.Mean)
	light := 0.0
	if s.light != nil {
		light = sample.LightRadius(one.Mean, s.light.UnsureBetween(refAt, sampleAt))
	}
	d.PlusMinus = math.Sqrt(shared*shared + light*light + ref.Sampling*ref.Sampling + one.Sampling*one.Sampling)
	return d
}

// A CompareRequest asks how the areas of one photo differ from a target: one of them by
// name, or a colour of its own.
type CompareRequest struct {
	MeasureRequest
	Target    string      `json:"target,omitempty"`     // name of an area
	TargetLab *colour.Lab `json:"target_lab,omitempty"` // instead of Target
}

// A CompareResult is the difference of every area from the target.
type CompareResult struct {
	MeasureResult
	TargetName string
	Target     colour.Lab
	// Differences, one for each of Areas in their order; that of the target itself is zero.
	Differences []Difference
}

// Compare measures the areas of one photo and compares each with the target.
func Compare(ctx context.Context, files Files, req CompareRequest) (*CompareResult, error) {
	at := -1
	names := make([]string, len(req.Areas))
	for i, area := range req.Areas {
		names[i] = area.Name
		if area.Name == req.Target {
			at = i
		}
	}
	if at < 0 && req.TargetLab == nil {
		return nil, piece.Unknown("piece.no-area", req.Target, names)
	}
	measured, photo, err := measure(ctx, files, req.MeasureRequest)
	if err != nil {
		return nil, err
	}
	result := &CompareResult{MeasureResult: *measured, TargetName: req.Target}
	if at >= 0 {
		result.Target = measured.Areas[at].Reading.Mean
	} else {
		result.Target = *req.TargetLab
	}
	for i, area := range measured.Areas {
		var d Difference
		switch {
		case i == at:
			d = Differ(result.Target, result.Target)
		case at >= 0:
			d = photo.differ(measured.Areas[at].Reading, area.Reading, measured.Areas[at].Outline.Centre(), area.Outline.Centre())
		default:
			d = Differ(result.Target, area.Reading.Mean)
			d.PlusMinus = area.Reading.PlusMinus
		}
		result.Differences = append(result.Differences, d)
	}
	return result, nil
}
