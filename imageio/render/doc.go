// Package render shows a photo with other colours on it: a plan before it is carried out.
//
// [NewCanvas] makes of a photo what a screen shows, at some size; [Canvas.Recolour] gives an outlined area other
// colours, with a soft edge and in the light that falls there; [Canvas.Picture] and [Canvas.Crop] hand it out.
//
// A full-size photo has millions of pixels and few colours. So the change is computed at the corners of a grid of
// colours only (colour_table.go), what lies between is interpolated, and the light is a grid of places
// (light_grid.go). The edge is a mask (mask.go).
package render
