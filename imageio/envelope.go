package imageio

import (
	"bytes"
	"image"
)

// envelope is what a file says about its picture besides the pixels.
type envelope struct {
	width, height int      // as declared, in stored orientation
	ycc           *yccRule // how luma and colour difference become R, G, B
	warnings      []string
}

func readEnvelope(kind format, data []byte) (envelope, *PhotoError) {
	file := envelope{ycc: jfifRule}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return file, damaged(kind, err.Error())
	}
	file.width, file.height = config.Width, config.Height
	return file, nil
}

func rawKind([]byte) string { return "" }
