package chart

// Read reads a chart without fitting it.
var Read = read

// The faults that no caller asks for.
const (
	Mirrored  = mirrored
	Covered   = covered
	CutOff    = cutOff
	OtherCard = otherCard
)
