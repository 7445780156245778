package imagetest

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"sync"
)

// TwelveMegapixels is a phone's photo of wood, as JPEG.
var TwelveMegapixels = sync.OnceValue(func() []byte {
	const width, height = 4032, 3024
	g := NewGrain(11, width, height, 9, 300)
	noise := NewGrain(12, 512, 512, 1, 1)
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			c := Oak(g.At(x, y)/2 + noise.At(x%500, y%500)/8).Encode()
			img.SetRGBA(x, y, color.RGBA{c.R, c.G, c.B, 255})
		}
	}
	var file bytes.Buffer
	if err := jpeg.Encode(&file, img, &jpeg.Options{Quality: 92}); err != nil {
		panic(err)
	}
	return file.Bytes()
})
