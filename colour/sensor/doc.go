// Package sensor says what the values of a camera's sensor mean as colours, by the matrices that raw photos bring with them.
//
// A [Profile] holds the matrices of one or two lights. [Profile.ToXYZ] interpolates them for the light that a photo was taken in, which
// is told by what its neutral surfaces look like to the sensor, and [Profile.Kelvin] says how warm that light is.
//
// Source: DNG 1.7, chapter 6 (mapping camera colour space to CIE XYZ space), from memory.
package sensor
