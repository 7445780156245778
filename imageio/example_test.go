package imageio_test

import (
	"fmt"

	"huewright/imageio"
)

// Outlines are rectangles x,y,w,h or polygons, in pixels of the upright photo.
func ExampleParseOutline() {
	box, err := imageio.ParseOutline("10,20,30,40")
	fmt.Println(box, err)
	_, err = imageio.ParseOutline("0,0 10,10 10,0 0,10")
	fmt.Println(err)
	// Output:
	// 10,20,30,40 <nil>
	// outline.crosses first=1 ring=outline second=3
}
