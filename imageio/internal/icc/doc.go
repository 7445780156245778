// Package icc turns the codes of a picture into light with the primaries of sRGB.
//
// What the codes mean is said by an ICC profile ([ParseProfile]), by code points ([Coding]) or by nothing, which
// stands for sRGB ([SRGBTransfer]). Either becomes a [Transfer], which is made once for a picture and asked for
// every pixel. A picture stored as luma and colour difference goes through a [YCCRule] first.
//
// Files: profile.go (tags of a profile), curve.go, table_read.go, table.go and grid.go (what they hold), primaries.go
// and srgb.go, coding.go, transfer.go, ycc.go.
//
// # Conventions
//
// Light is relative to the white of the medium, which is 1. Profiles speak of XYZ under D50; it is adapted to
// D65 on the way. Damage is told as an error that reads on after "the colour profile".
package icc
