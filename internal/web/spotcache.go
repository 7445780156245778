package web

import (
	"crypto/sha256"
	"sync"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// mostSpots are how many readings are kept: a kilobyte each.
const mostSpots = 1000

// A spotCache keeps what outlines on photos were read as, so that what a tap has just read is not read again when it is sent. The zero
// value is empty. Its methods may be called from any number of goroutines.
type spotCache struct {
	mutex sync.Mutex
	read  map[spotKey]workshop.SpotReading
}

// A spotKey tells readings apart by what they stand on: a photo with its references, and an outline.
type spotKey [sha256.Size]byte

func spotKeyOf(p *piece.Photo, outline string) spotKey {
	return hashOf(struct {
		Photo   piece.Photo
		Outline string
	}{*p, outline})
}

func (c *spotCache) of(key spotKey) (r workshop.SpotReading, known bool) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	r, known = c.read[key]
	return r, known
}

func (c *spotCache) keep(key spotKey, r workshop.SpotReading) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	if c.read == nil || len(c.read) >= mostSpots {
		c.read = map[spotKey]workshop.SpotReading{}
	}
	c.read[key] = r
}
