package container

import (
	"context"
	"fmt"
	"image"
	"syscall/js"
)

// The decoders of HEIC and AVIF are WebAssembly themselves and would be interpreted here, for minutes. Browsers bring some of
// their own, which turn the picture upright.
const turnedByDecoder = true

// Prepare has nothing to do: the browser's own decoder is ready.
func Prepare(string) {}

// decodeInSandbox has the browser decode. What surrounds the program has a function for it,
//
//	huewrightDecode(file, kind) → promise of null, or of {width, height, rows(from, to), close()},
//
// which gives codes R, G, B and alpha of 8 bits, not multiplied by alpha, as the file has them: no profile, nor colours named by a
// number, are applied. It gives null where the browser cannot do that.
func decodeInSandbox(ctx context.Context, format Format, data []byte, _ uint64) (image.Image, error) {
	decode := js.Global().Get("huewrightDecode")
	if decode.Type() != js.TypeFunction {
		return nil, errNoDecoder
	}
	kind := "image/heic"
	if format == formatAVIF {
		kind = "image/avif"
	}
	file := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(file, data)
	picture, err := awaited(ctx, decode.Invoke(file, kind))
	if err != nil {
		return nil, err
	}
	if picture.IsNull() {
		return nil, errNoDecoder
	}
	defer picture.Call("close")
	return pixelsOf(ctx, picture)
}

// awaited is what a promise comes to, unless the context ends before.
func awaited(ctx context.Context, promise js.Value) (js.Value, error) {
	came, failed := make(chan js.Value, 1), make(chan error, 1)
	onCome := js.FuncOf(func(_ js.Value, args []js.Value) any { came <- args[0]; return nil })
	onFailed := js.FuncOf(func(_ js.Value, args []js.Value) any {
		failed <- fmt.Errorf("%w: %s", errUndecodable, js.Global().Get("String").Invoke(args[0]).String())
		return nil
	})
	release := func() { onCome.Release(); onFailed.Release() }
	promise.Call("then", onCome, onFailed)
	select {
	case v := <-came:
		release()
		return v, nil
	case err := <-failed:
		release()
		return js.Undefined(), err
	case <-ctx.Done(): // the promise may still call: what it would call stays
		go func() {
			select {
			case v := <-came:
				if !v.IsNull() {
					v.Call("close")
				}
			case <-failed:
			}
			release()
		}()
		return js.Undefined(), ctx.Err()
	}
}

// pixelsOf copies the pixels a strip at a time: whole, the browser would hold them once more.
func pixelsOf(ctx context.Context, picture js.Value) (image.Image, error) {
	const strip, farthest = 256, 1 << 16 // rows; pixels
	wide, high := picture.Get("width").Int(), picture.Get("height").Int()
	if wide < 1 || high < 1 || wide > farthest || high > farthest {
		return nil, errUndecodable
	}
	img := image.NewNRGBA(image.Rect(0, 0, wide, high))
	for from := 0; from < high; from += strip {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		to := min(from+strip, high)
		part := img.Pix[from*img.Stride : to*img.Stride]
		if n := js.CopyBytesToGo(part, picture.Call("rows", from, to)); n != len(part) {
			return nil, errUndecodable
		}
	}
	return img, nil
}
