package container

import (
	"errors"
	"image/jpeg"
	"image/png"
	"io"

	"golang.org/x/image/tiff"

	"huewright/imageio/internal/sandbox"
	"huewright/internal/fault"
)

// errUndecodable is all that the decoders of HEIC and AVIF say.
var errUndecodable = errors.New("container: the decoder cannot decode it")

// errNoDecoder is that of a format that cannot be decoded where the program runs.
var errNoDecoder = errors.New("container: there is no decoder here")

// damaged refuses a file that is broken; why is for developers.
func damaged(format Format, why error) *fault.Fault {
	return fault.New(fault.Photo, "photo.damaged", "format", string(format)).Because(why)
}

// UnknownKind refuses a picture of a known format that keeps its pixels in a way that is not read; why is for developers.
func UnknownKind(format Format, why error) *fault.Fault {
	return fault.New(fault.Photo, "photo.unknown-kind", "format", string(format)).Because(why)
}

// undecoded tells what a decoder does not know from what is broken.
func undecoded(format Format, err error) *fault.Fault {
	var inJPEG jpeg.UnsupportedError
	var inPNG png.UnsupportedError
	var inTIFF tiff.UnsupportedError
	if format == formatDNG {
		return unread(err)
	}
	switch {
	case errors.Is(err, errNoDecoder):
		return fault.New(fault.Photo, "photo.no-decoder", "format", string(format)).Because(err)
	case errors.Is(err, errUndecodable), errors.Is(err, sandbox.ErrTrap):
		return fault.New(fault.Photo, "photo.undecodable", "format", string(format)).Because(err)
	case errors.As(err, &inJPEG), errors.As(err, &inPNG), errors.As(err, &inTIFF):
		return UnknownKind(format, err)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return fault.New(fault.Photo, "photo.cut-short").Because(err)
	}
	return damaged(format, err)
}
