package container

import (
	"errors"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"strings"

	"golang.org/x/image/tiff"
)

// A PhotoError reports a photo that cannot be used: unreadable, damaged, of a kind that
// shows colours we cannot trust, or with too little of what is needed in it.
type PhotoError struct {
	Path    string // as the user gave it
	Problem string // what is wrong
	Advice  string // what to do next
}

func (e *PhotoError) Error() string {
	if e.Path == "" {
		return e.Problem
	}
	return e.Path + ": " + e.Problem
}

// Hint says what to do next.
func (e *PhotoError) Hint() string { return e.Advice }

// What to do about a photo that cannot be used, where several faults share it.
const (
	damagedAdvice = "copy it again from the phone or camera; if that does not help, take the photo again"
	rawAdvice     = "export it from the raw program as a 16-bit TIFF or PNG, or as a JPEG, with the profile embedded"
	exportAdvice  = "export it as JPEG, or as TIFF or PNG with 16 bits, from the program that opens it"
)

// errUndecodable is all that the decoder says.
var errUndecodable = errors.New("cannot be decoded: it is damaged, or coded in a way that is not read")

func damaged(kind Format, why string) *PhotoError {
	return &PhotoError{Problem: fmt.Sprintf("is a damaged %s: %s", kind, why), Advice: damagedAdvice}
}

// UnknownKind refuses a picture of a known format that keeps its pixels in a way that is not read.
func UnknownKind(format Format, why string) *PhotoError {
	return &PhotoError{Problem: fmt.Sprintf("is a %s of a kind that is not read: %s", format, why), Advice: exportAdvice}
}

// undecoded tells what a decoder does not know from what is broken.
func undecoded(kind Format, err error) *PhotoError {
	var inJPEG jpeg.UnsupportedError
	var inPNG png.UnsupportedError
	var inTIFF tiff.UnsupportedError
	if errors.As(err, &inJPEG) || errors.As(err, &inPNG) || errors.As(err, &inTIFF) {
		return UnknownKind(kind, plainFault(err))
	}
	return damaged(kind, plainFault(err))
}

// plainFault is a decoder's complaint without the names it puts before it.
func plainFault(err error) string {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return "it ends too early"
	}
	s := err.Error()
	for _, prefix := range []string{
		"jpeg: ", "png: ", "tiff: ", "webp: ", "vp8l: ", "riff: ",
		"invalid JPEG format: ", "invalid format: ", "unsupported JPEG feature: ", "unsupported feature: ",
	} {
		s = strings.TrimPrefix(s, prefix)
	}
	return s
}
