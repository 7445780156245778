package carry

import (
	"context"
	"math"

	"huewright/imageio"
)

const (
	mostPixels   = 600_000 // of the small picture
	darkestLight = 0.004   // added to light before its logarithm, so that noise in shadows is no contrast
)

// A picture is a photo made small: the logarithm of its luminance, in which a change of light is a constant.
type picture struct {
	photo      *imageio.Photo
	wide, high int
	scale      float64 // pixels of the photo on a side of one of its own
	of         []float32
}

// pictureOf makes the small picture of a photo.
func pictureOf(ctx context.Context, p *imageio.Photo) (*picture, error) {
	d := p.Downsampling(mostPixels)
	s := &picture{photo: p, wide: d.Width, high: d.Height, scale: d.Step, of: make([]float32, d.Width*d.Height)}
	light := func(code uint8) float64 { return float64(code) * float64(code) / (255 * 255) }
	err := p.Downsample(ctx, d, func(i int, r, g, b uint8) {
		s.of[i] = float32(math.Log(0.2126*light(r) + 0.7152*light(g) + 0.0722*light(b) + darkestLight))
	})
	return s, err
}

// at is the picture between its pixels, in pixels of its own; false beside it.
func (p *picture) at(x, y float64) (float32, bool) {
	x, y = x-0.5, y-0.5
	fx, fy := math.Floor(x), math.Floor(y)
	i, j := int(fx), int(fy)
	if i < 0 || j < 0 || i+1 >= p.wide || j+1 >= p.high {
		return 0, false
	}
	u, v := float32(x-fx), float32(y-fy)
	row, next := p.of[j*p.wide+i:], p.of[(j+1)*p.wide+i:]
	return (1-v)*((1-u)*row[0]+u*row[1]) + v*((1-u)*next[0]+u*next[1]), true
}

// soft is the picture with each pixel mixed with its neighbours, by 1, 2, 1 each way.
func (p *picture) soft() *picture {
	out := &picture{p.photo, p.wide, p.high, p.scale, make([]float32, len(p.of))}
	across := make([]float32, len(p.of))
	for y := range p.high {
		row := p.of[y*p.wide : (y+1)*p.wide]
		for x, v := range row {
			across[y*p.wide+x] = (row[max(x-1, 0)] + 2*v + row[min(x+1, p.wide-1)]) / 4
		}
	}
	for y := range p.high {
		above, here, below := max(y-1, 0)*p.wide, y*p.wide, min(y+1, p.high-1)*p.wide
		for x := range p.wide {
			out.of[here+x] = (across[above+x] + 2*across[here+x] + across[below+x]) / 4
		}
	}
	return out
}

// smaller is the picture at 1/by of its size.
func (p *picture) smaller(by float64) *picture {
	s := p.soft()
	out := &picture{photo: p.photo, wide: max(2, int(float64(p.wide)/by)), high: max(2, int(float64(p.high)/by)), scale: p.scale * by}
	out.of = make([]float32, out.wide*out.high)
	for y := range out.high {
		for x := range out.wide {
			px := min(max(by*(float64(x)+0.5), 0.5), float64(p.wide)-0.51)
			py := min(max(by*(float64(y)+0.5), 0.5), float64(p.high)-0.51)
			out.of[y*out.wide+x], _ = s.at(px, py)
		}
	}
	return out
}

// levels are the picture and smaller ones, each 1/√2 of the last.
func (p *picture) levels(n int) []*picture {
	all := []*picture{p}
	for len(all) < n {
		all = append(all, all[len(all)-1].smaller(math.Sqrt2))
	}
	return all
}
