package imageio

import "huewright/imageio/internal/container"

// A PhotoError reports a photo that cannot be used: unreadable, damaged, of a kind that
// shows colours we cannot trust, or with too little of what is needed in it.
type PhotoError = container.PhotoError

// ShootingFacts is what the camera noted about a photo. Each field is zero when it did not.
type ShootingFacts = container.ShootingFacts

// AssumedProfile is the Profile of a photo that brings none.
const AssumedProfile = container.AssumedProfile
