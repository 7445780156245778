// Package sample reads the colour of an outlined area of a photo.
//
// [Read] makes an outline of wood a colour.Reading: pixels that are glare, gap or shadow are left out (reject.go),
// the rest corrected and averaged in linear light, and the ± is told, of which the part that comes from the grain is
// a block bootstrap (bootstrap.go). [ReadPatch] reads a plain surface, such as a grey card. [WoodLight] gives the
// pixels themselves. All refuse, with advice, an area that holds too little.
//
// Light is linear with the primaries of sRGB, 1 at the top of the photo's scale; distances are ΔE00 and a ± holds
// 95 times in 100.
package sample
