// Package dng reads raw photos in the open format DNG: what a sensor recorded, in linear light, before any camera rendered it.
//
// [Read] reads the tags and refuses what is not read; [Raw.Decode] gives a [Picture] of linear camera values. A mosaic is not
// interpolated: each cell of 2 × 2 samples becomes one pixel, its green the mean of two, so that the mean over an area is that of
// what the sensor saw. What the file says of the sensor's colours is a [sensor.Profile].
//
// tags.go reads what is said of the samples, refuse.go what is not read, colours.go the matrices,
// stored.go decodes strips and tiles, unpack.go those that are not compressed, levels.go black and white, opcode.go lens shading,
// picture.go puts cells together.
//
// Baseline exposure and noise, tone curves and lens distortion are of no use for measuring and are not looked at.
//
// Sources: TIFF 6.0; TIFF/EP (ISO 12234-2); DNG 1.7, from memory.
package dng
