package container

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	standard "image/jpeg"
	"image/png"
	"runtime/debug"
	"time"

	"github.com/bep/imagemeta"
	"golang.org/x/image/tiff"
	"golang.org/x/image/webp"

	"huewright/imageio/internal/icc"
	"huewright/imageio/internal/jpeg"
	"huewright/imageio/internal/sandbox"
	"huewright/internal/fault"
)

// Limits bound what is read of a photo: a small file can declare a picture that no memory holds.
type Limits struct {
	// Megapixels that a picture may declare; default 120, and 64 for HEIC, AVIF and WebP, whose
	// decoders take several times as much memory.
	Megapixels float64
	// Megabytes that a file may have; default 400.
	Megabytes float64
	// Memory in megabytes that opening a photo may take, its file and the decoded picture included; default 540.
	Memory float64
	// Seconds that decoding may take; default 60.
	Seconds float64
}

func (l Limits) pixels(format Format) int64 {
	switch {
	case l.Megapixels > 0:
		return int64(l.Megapixels * 1e6)
	case format == formatHEIC, format == formatAVIF, format == formatWebP:
		return 64_000_000
	}
	return 120_000_000
}

func (l Limits) bytes() int64 {
	if l.Megabytes > 0 {
		return int64(l.Megabytes * 1e6)
	}
	return 400_000_000
}

func (l Limits) memory() int64 {
	if l.Memory > 0 {
		return int64(l.Memory * 1e6)
	}
	return 540_000_000
}

func (l Limits) time() time.Duration {
	if l.Seconds > 0 {
		return time.Duration(l.Seconds * float64(time.Second))
	}
	return time.Minute
}

// TooLong refuses a file of more bytes than the limits allow; nil lets it pass.
func TooLong(size int64, limits Limits) *fault.Fault {
	most := limits.bytes()
	if size <= most {
		return nil
	}
	return fault.New(fault.Photo, "photo.long-file", "megabytes", float64(size)/1e6, "limit", float64(most)/1e6)
}

// Decode reads a picture, whose format it tells by content. What the file says of itself is checked before
// the pixels are decoded. The fault has no place. It may be due to the end of the context, which is to be
// asked first.
func Decode(ctx context.Context, data []byte, limits Limits) (*Picture, *fault.Fault) {
	return decode(ctx, data, false, limits)
}

// DecodeOver is Decode of a file that nobody else reads: its memory may be written over, which saves as much. Where that turns out to
// have been wrong the file is to be read again, for Decode.
func DecodeOver(ctx context.Context, data []byte, limits Limits) (p *Picture, again bool, wrong *fault.Fault) {
	p, wrong = decode(ctx, data, true, limits)
	return p, wrong != nil && errors.Is(wrong, errOver), wrong
}

// errOver says that a file was written over that another decoder should have read.
var errOver = errors.New("container: the file is to be read again")

func decode(ctx context.Context, data []byte, over bool, limits Limits) (*Picture, *fault.Fault) {
	if wrong := TooLong(int64(len(data)), limits); wrong != nil {
		return nil, wrong
	}
	format, wrong := sniff(data)
	if wrong != nil {
		return nil, wrong
	}
	p, wrong := readEnvelope(format, data)
	if wrong != nil {
		return nil, wrong
	}
	if wrong := p.check(len(data), limits); wrong != nil {
		return nil, wrong
	}
	if wrong := p.fits(data, limits); wrong != nil {
		return nil, wrong
	}
	if p.Lab != 0 {
		data = labAsRGB(data)
	}
	if wrong := p.decodeWithin(ctx, data, over, limits); wrong != nil {
		return nil, wrong
	}
	p.correctRange()
	facts, whole := readFacts(p.exif, p.exifIn)
	if !whole {
		p.note(fault.Say("photo.exif-damaged"))
	}
	p.Facts, p.colourSpace = facts.ShootingFacts, facts.colourSpace
	if p.Orientation == 0 {
		p.Orientation = facts.orientation
	}
	return p, nil
}

// readEnvelope reads what the file says about its picture besides the pixels.
func readEnvelope(format Format, data []byte) (*Picture, *fault.Fault) {
	p := &Picture{Format: format, YCC: icc.JFIFRule, exifIn: imagemeta.TIFF}
	var wrong *fault.Fault
	switch format {
	case formatJPEG:
		readJPEG(data, p)
	case formatPNG:
		readPNG(data, p)
	case formatTIFF:
		wrong = readTIFF(data, p)
	case formatWebP:
		wrong = readWebP(data, p)
	case formatHEIC, formatAVIF:
		return p, readHEIF(data, p)
	case formatDNG:
		return p, readRaw(data, p)
	}
	if wrong != nil {
		return nil, wrong
	}
	if p.Lab != 0 {
		data = labAsRGB(data)
	}
	config, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, undecoded(format, err)
	}
	p.width, p.height = config.Width, config.Height
	if p.memory = memoryOf(format, data, config); format == formatJPEG {
		p.memory = p.frame.memory(int64(p.width)*int64(p.height), int64(len(data)))
		return p, p.frame.check()
	}
	return p, nil
}

// check refuses a picture of the size and colours that its file of so many bytes declares.
func (p *Picture) check(size int, limits Limits) *fault.Fault {
	if p.width < 1 || p.height < 1 {
		return damaged(p.Format, errors.New("it does not say how large it is"))
	}
	pixels := max(int64(p.width)*int64(p.height), p.coded)
	if most := limits.pixels(p.Format); pixels > most {
		return fault.New(fault.Photo, "photo.many-pixels", "wide", p.width, "high", p.height, "format", string(p.Format),
			"limit", float64(most)/1e6)
	}
	if pixels/p.Format.pixelsInByte() > int64(size) {
		return fault.New(fault.Photo, "photo.cut-short").Because(errors.New("too short for the size it gives"))
	}
	if p.coding != nil && p.profile == nil && p.coding.HighRange() {
		return fault.New(fault.Photo, "photo.high-range")
	}
	if p.Inks && !p.hasInkProfile() {
		return fault.New(fault.Photo, "photo.inks-without-profile")
	}
	return nil
}

// decoderSemaphore lets one picture at a time into the decoders of HEIC and AVIF, which take much memory.
var decoderSemaphore = make(semaphore, 1)

// decodeWithin decodes within the time that there is for it. The memory that it took beside the picture, which may be
// several times as much, goes back to the system at once.
func (p *Picture) decodeWithin(ctx context.Context, data []byte, over bool, limits Limits) *fault.Fault {
	inSandbox := p.Format == formatHEIC || p.Format == formatAVIF
	if inSandbox {
		if err := decoderSemaphore.acquire(ctx); err != nil {
			return undecoded(p.Format, err)
		}
		defer decoderSemaphore.release()
	}
	timed, stop := context.WithTimeout(ctx, limits.time())
	defer stop()
	limited := limitedContext{timed, ctx}
	var err error
	switch {
	case p.raw != nil:
		p.Image, err = decodeRaw(limited, p.raw)
	case inSandbox:
		p.Image, err = decodeInSandbox(limited, p.Format, data, p.sandboxMemory(data, limits))
	default:
		p.Image, err = interruptibly(limited, func() (image.Image, error) { return decodePixels(limited, p.Format, data, over) })
	}
	if _, inParts := p.Image.(*jpeg.Picture); p.memory > muchMemory && !inParts {
		debug.FreeOSMemory()
	}
	switch {
	case err == nil:
		return nil
	case ctx.Err() == nil && errors.Is(err, context.DeadlineExceeded):
		return fault.New(fault.Photo, "photo.too-slow", "seconds", limits.time().Seconds()).Because(err)
	case errors.Is(err, sandbox.ErrMemory):
		return p.tooMuch(limits.memory(), limits).Because(err)
	}
	return undecoded(p.Format, err)
}

// survive, deferred, makes an error of a panic: a decoder that panics on a damaged file is a damaged file, not the end of the
// program.
func survive(img *image.Image, err *error) {
	if grief := recover(); grief != nil {
		*img, *err = nil, fmt.Errorf("container: the decoder panicked: %v", grief)
	}
}

// decodePixels runs the decoder of a format.
func decodePixels(ctx context.Context, kind Format, data []byte, over bool) (img image.Image, err error) {
	defer survive(&img, &err)
	in := contextReader{ctx, bytes.NewReader(data)}
	switch kind {
	case formatJPEG:
		return decodeJPEG(ctx, data, over)
	case formatPNG:
		return png.Decode(in)
	case formatTIFF:
		return tiff.Decode(in)
	case formatWebP:
		return webp.Decode(in)
	}
	return nil, fmt.Errorf("no decoder for %s", kind)
}

// decodeJPEG passes over a JPEG, whose parts are then decoded where they are asked for, or has it decoded whole where it is of
// another kind or damaged.
func decodeJPEG(ctx context.Context, data []byte, over bool) (image.Image, error) {
	open := jpeg.Open
	if over {
		open = jpeg.OpenOver
	}
	p, err := open(ctx, data)
	switch {
	case errors.Is(err, jpeg.ErrOther) && over:
		return nil, errOver
	case errors.Is(err, jpeg.ErrOther):
		return standard.Decode(contextReader{ctx, bytes.NewReader(data)})
	case err != nil:
		return nil, err
	}
	return p, nil
}
