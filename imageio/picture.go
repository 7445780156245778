package imageio

import "image"

// A Picture is one that can be written with WritePNG or WriteJPEG.
type Picture = image.Image
