package surround

// What an eye sees of a pattern, in cycles per degree.
var (
	ContrastSensitivity  = contrastSensitivity
	ChromaticSensitivity = chromaticSensitivity
)
