package container

// AssumedProfile is the Profile of a photo that brings none.
const AssumedProfile = "sRGB assumed"
