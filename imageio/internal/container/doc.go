// Package container reads the files that photos come in: JPEG, PNG, TIFF, WebP, HEIC, AVIF and raw ones.
//
// [Decode] takes the bytes of a file and gives a [Picture]: the decoded codes, and what the file says about
// them. Everything it refuses is a fault of kind Photo. The pixels go through the decoders of the
// standard library and others; this package reads what lies round them, which those leave out. Those of most JPEGs are decoded
// later, where they are asked for (imageio/internal/jpeg).
//
// decode.go follows a file through: told by its content (sniff.go), its envelope read (jpeg.go, png.go,
// tiff.go, webp.go, heif.go), the pixels decoded (heic.go, heictiles.go and avif.go for what runs in WebAssembly), the notes
// of the camera read (facts.go). Raw photos are read by imageio/internal/dng (raw.go). What that may take is bounded before: memory.go
// estimates it, stream.go reads the real sizes of HEIC and AVIF (hevc.go, av1.go). meaning.go says what the codes stand for.
//
// A structure that is damaged beside the pixels costs what it says, not the photo.
package container
