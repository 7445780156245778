package imageio

import "time"

// ShootingFacts is what the camera noted about a photo. Each field is zero when it did not.
type ShootingFacts struct {
	Taken        time.Time // by the camera's clock; its zone when it says one, else UTC
	Exposure     float64   // seconds
	Aperture     float64   // f-number
	ISO          int
	FocalLength  float64 // millimetres
	Flash        bool    // it fired
	WhiteBalance string  // "auto" or "manual"
	Scene        string  // "night" or ""
	Make, Model  string  // of the camera
}
