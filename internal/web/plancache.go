package web

import (
	"crypto/sha256"
	"encoding/json"
	"sync"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// planCache are the last few plans, kept to be shown and to make pictures from. A plan keeps its photos
// open, so what bounds them is the pixels of those. Of plans that had to go the requests are kept:
// the same request gives the same plan again.
type planCache struct {
	mostPixels int64
	mutex      sync.Mutex
	all        []*cachedPlan // the last used last
	asked      map[[sha256.Size]byte]workshop.PlanRequest
	order      [][sha256.Size]byte // of asked, the oldest first
}

// mostAsked is how many requests are kept. They are a few kilobytes each.
const mostAsked = 500

// A cachedPlan is a plan of a piece as it was.
type cachedPlan struct {
	key     [sha256.Size]byte
	request workshop.PlanRequest
	result  *workshop.PlanResult
	photos  *workshop.Photos
	preview *workshop.Preview
}

func newPlanCache(mostPixels int64) *planCache {
	return &planCache{mostPixels: mostPixels, asked: map[[sha256.Size]byte]workshop.PlanRequest{}}
}

// keyOf tells pieces apart, as far as that bears on counts: repairs, the room and the years do not.
func keyOf(p *piece.Piece) [sha256.Size]byte {
	bare := *p
	bare.Repairs, bare.Room, bare.YearMade, bare.OldFinish = nil, nil, 0, nil
	data, err := json.Marshal(bare)
	if err != nil {
		panic(err) // plain data
	}
	return sha256.Sum256(data)
}

// of is the plan of a piece, as it is; nil where it is not kept.
func (p *planCache) of(asked *piece.Piece) *cachedPlan {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	key := keyOf(asked)
	for i, m := range p.all {
		if m.key == key {
			p.all = append(append(p.all[:i:i], p.all[i+1:]...), m)
			return m
		}
	}
	return nil
}

// request is what a plan of a piece as it is was made from, if one was.
func (p *planCache) request(asked *piece.Piece) (workshop.PlanRequest, bool) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	req, ok := p.asked[keyOf(asked)]
	return req, ok
}

func (p *planCache) add(m *cachedPlan) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	if _, known := p.asked[m.key]; !known {
		p.order = append(p.order, m.key)
		if len(p.order) > mostAsked {
			delete(p.asked, p.order[0])
			p.order = append([][sha256.Size]byte{}, p.order[1:]...)
		}
	}
	p.asked[m.key] = m.request
	p.all = append(p.all, m)
	held := int64(0)
	for i := len(p.all) - 1; i >= 0; i-- {
		if held += p.all[i].photos.Pixels(); held > p.mostPixels && i < len(p.all)-1 {
			p.all = append([]*cachedPlan{}, p.all[i+1:]...)
			break
		}
	}
}
