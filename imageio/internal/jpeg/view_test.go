package jpeg

import (
	"bytes"
	"context"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio/internal/imagetest"
)

// A pixel of a smaller view is the mean of those that it stands for, to what rounding these leaves: luma everywhere, colour at its own
// resolution.
func TestSmallerViewsAreMeans(t *testing.T) {
	for _, d := range drawings() {
		d.busy, d.steps = min(d.busy, 0.4), min(d.steps, 4) // so that hardly a sample is cut off
		p, err := Open(context.Background(), d.draw())
		require.NoError(t, err)
		full := p.View(0)
		for shift := 1; shift <= 3; shift++ {
			v, side := p.View(shift), 1<<shift
			require.Equal(t, (d.wide+side-1)/side, v.Width)
			require.Equal(t, (d.high+side-1)/side, v.Height)
			for i := range (d.wide / side) * (d.high / side) {
				x, y := i%(d.wide/side), i/(d.wide/side)
				sum, cutOff := 0, false
				for k := range side * side {
					luma, _, _ := full.YCC(side*x+k%side, side*y+k/side)
					sum += int(luma)
					cutOff = cutOff || luma == 0 || luma == 255
				}
				luma, _, _ := v.YCC(x, y)
				alone, _, _ := p.Luma(shift).YCC(x, y)
				require.Equal(t, luma, alone)
				if !cutOff {
					require.InDelta(t, float64(sum)/float64(side*side), float64(luma), 1, "%+v: %d at %d, %d", d, shift, x, y)
				}
			}
		}
	}
}

// Colours of a smaller view are the means of the blocks' fields too.
func TestSmallerViewsHaveMeansOfColour(t *testing.T) {
	d := &drawing{wide: 160, high: 96, sampling: []int{0x11, 0x11, 0x11}, busy: 0.3, steps: 1, seed: 5}
	p, err := Open(context.Background(), d.draw())
	require.NoError(t, err)
	for shift := 1; shift <= 3; shift++ {
		v, side := p.View(shift), 1<<shift
		for i := range v.Width * v.Height {
			x, y := i%v.Width, i/v.Width
			blue, red := 0.0, 0.0
			for k := range side * side {
				_, b, r := p.View(0).YCC(side*x+k%side, side*y+k/side)
				blue, red = blue+float64(b)/float64(side*side), red+float64(r)/float64(side*side)
			}
			_, b, r := v.YCC(x, y)
			require.InDelta(t, blue, float64(b), 1)
			require.InDelta(t, red, float64(r), 1)
		}
	}
}

// A row read by runs is its pixels one by one.
func TestRunsAreTheirPixels(t *testing.T) {
	for _, d := range drawings() {
		p, err := Open(context.Background(), d.draw())
		require.NoError(t, err)
		for shift := range 4 {
			v := p.View(shift)
			for y := range v.Height {
				for x := 0; x < v.Width; {
					luma, blue, red, across := v.Run(x, y)
					require.NotEmpty(t, luma)
					for i, l := range luma {
						want, b, r := v.YCC(x+i, y)
						require.Equal(t, want, l)
						if len(d.sampling) > 1 {
							require.Equal(t, [2]uint8{b, r}, [2]uint8{blue[i>>across], red[i>>across]})
						}
					}
					x += len(luma)
				}
			}
		}
	}
}

// A glance gives what the view has, and keeps nothing.
func TestGlancesAreTheirPixels(t *testing.T) {
	for _, d := range drawings() {
		requireGlances(t, d.draw(), 13)
	}
}

// requireGlances holds glances at every so many pixels of each size of a file against these pixels.
func requireGlances(t *testing.T, file []byte, step int) {
	t.Helper()
	p, err := Open(context.Background(), file)
	require.NoError(t, err)
	kept, err := Open(context.Background(), file)
	require.NoError(t, err)
	for shift := range 3 {
		v, want := p.View(shift), kept.View(shift)
		var room []uint8
		for i := 0; i < v.Width*v.Height; i += step {
			x, y := i%v.Width, i/v.Width
			luma, wide, left, top := v.Glance(x, y, &room)
			l, _, _ := want.YCC(x, y)
			require.Equal(t, l, luma[(y-top)*wide+x-left])
			again, _, _, _ := want.Glance(x, y, &room)
			require.Equal(t, l, again[(y-top)*wide+x-left])
		}
		for i := range v.parts {
			require.Nil(t, v.parts[i].Load())
		}
	}
}

// A square is its four pixels, within what is decoded together and across.
func TestSquaresAreTheirPixels(t *testing.T) {
	for _, d := range drawings() {
		p, err := Open(context.Background(), d.draw())
		require.NoError(t, err)
		for shift := range 4 {
			for _, v := range []*View{p.View(shift), p.Luma(shift)} {
				for i := range (v.Width - 1) * (v.Height - 1) {
					x, y := i%(v.Width-1), i/(v.Width-1)
					luma, blue, red := v.Square(x, y)
					for k := range luma {
						l, b, r := v.YCC(x+k%2, y+k/2)
						require.Equal(t, [3]uint8{l, b, r}, [3]uint8{luma[k], blue[k], red[k]})
					}
				}
			}
		}
	}
}

// The end of the context ends the pass.
func TestOpenStops(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := Open(ctx, drawings()[0].draw())
	require.ErrorIs(t, err, context.Canceled)
}

// Who has asked for brightness and then asks for colour gets the same as who asked for colour at once; what is there is not decoded again.
func TestBrightnessAndColourAreOnePart(t *testing.T) {
	for _, d := range drawings() {
		file := d.draw()
		once, err := Open(context.Background(), file)
		require.NoError(t, err)
		twice, err := Open(context.Background(), file)
		require.NoError(t, err)
		for shift := range 4 {
			v, want := twice.View(shift), once.View(shift)
			for y := range v.Height {
				for x := range v.Width {
					luma, _, _ := twice.Luma(shift).YCC(x, y)
					l, b, r := v.YCC(x, y)
					wantL, wantB, wantR := want.YCC(x, y)
					require.Equal(t, [4]uint8{wantL, wantL, wantB, wantR}, [4]uint8{luma, l, b, r})
				}
			}
			for i := range v.parts {
				before := v.parts[i].Load()
				require.Same(t, before, twice.Luma(shift).part(i))
				require.Same(t, before, v.part(i))
			}
		}
	}
}

// Tables of codes that no scan uses cost little: each took 20 kB and as long as a thousand blocks.
func TestUnusedTablesCostLittle(t *testing.T) {
	file := drawings()[0].draw()
	unused := appendSegment(nil, huffmanTables, append([]byte{0x11, 0, 0, 0, 0, 0, 0, 0, 200}, make([]byte, 208)...))
	many := slices.Concat(file[:2], bytes.Repeat(unused, 3000), file[2:])
	before := imagetest.Allocated()
	_, err := Open(context.Background(), many)
	require.NoError(t, err)
	require.Less(t, imagetest.Allocated()-before, uint64(2*len(many)))
}
