package sample

import (
	"context"

	"huewright/colour"
	"huewright/imageio"
)

// WoodLight returns the light of at most so many pixels of an outline, glare and gaps left out, and where
// they are. The error is that of Sample.
func WoodLight(ctx context.Context, p *imageio.Photo, o imageio.Outline, most int) (light []colour.LinearRGB, at []imageio.Point, err error) {
	const looked = 10 // times as many, to tell glare and gaps
	set, err := pixelsIn(ctx, p, o, Options{MaxPixels: looked * most})
	if err != nil {
		return nil, nil, err
	}
	verdicts, err := judge(ctx, set)
	if err != nil {
		return light, at, err
	}
	n := 0
	for i, v := range verdicts {
		if v != kept {
			continue
		}
		if n++; n%looked == 0 || len(verdicts) < most {
			light, at = append(light, set.Light[i]), append(at, set.At[i].Centre())
		}
	}
	return light, at, nil
}
