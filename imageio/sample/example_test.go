package sample_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"

	"huewright/imageio"
	"huewright/imageio/sample"
)

// A grey of code 119 reads as L* 50. Without a reference the camera is taken at its word, and the ± is wide.
func ExampleRead() {
	img := image.NewGray(image.Rect(0, 0, 40, 40))
	for i := range img.Pix {
		img.Pix[i] = color.Gray{Y: 119}.Y
	}
	var file bytes.Buffer
	if err := png.Encode(&file, img); err != nil {
		fmt.Println(err)
		return
	}
	photo, err := imageio.Decode(context.Background(), file.Bytes(), "grey.png")
	if err != nil {
		fmt.Println(err)
		return
	}
	reading, err := sample.Read(context.Background(), photo, imageio.Rect(5, 5, 30, 30), nil, sample.Options{Name: "wall"})
	fmt.Printf("%v, %v, over 5: %v\n", reading.Mean, err, reading.PlusMinus > 5)
	// Output: L* 50.0  a* 0.0  b* 0.0, <nil>, over 5: true
}
