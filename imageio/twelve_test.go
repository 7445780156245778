package imageio

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"sync"
)

// twelveMegapixels is a phone's photo of wood, as JPEG.
var twelveMegapixels = sync.OnceValue(func() []byte {
	const width, height = 4032, 3024
	g := newGrain(11, width, height, 9, 300)
	noise := newGrain(12, 512, 512, 1, 1)
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := oak(g.at(x, y)/2 + noise.at(x%500, y%500)/8).Encode()
			img.SetRGBA(x, y, color.RGBA{c.R, c.G, c.B, 255})
		}
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, img, &jpeg.Options{Quality: 92}); err != nil {
		panic(err)
	}
	return file.Bytes()
})
