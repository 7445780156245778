package container

import (
	"context"
	"image"
)

// decodeInSandbox decodes nothing in a browser: the decoders of HEIC and AVIF are WebAssembly themselves, and would be
// interpreted there, for minutes.
func decodeInSandbox(context.Context, Format, []byte, uint64) (image.Image, error) {
	return nil, errNoDecoder
}
