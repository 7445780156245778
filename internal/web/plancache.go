package web

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"sync"

	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// planCache are the last few plans, kept to be shown and to make pictures from. A plan keeps its photos
// open, so what bounds them is the pixels of those. Plans that had to go are made again from the log: the same
// request gives the same plan.
type planCache struct {
	mostPixels int64
	mutex      sync.Mutex
	all        []*cachedPlan // the last used last
}

// A cachedPlan is a plan of a piece as it was.
type cachedPlan struct {
	key     planKey
	request workshop.PlanRequest
	result  *workshop.PlanResult
	photos  *workshop.Photos
	preview *workshop.Preview
}

func newPlanCache(mostPixels int64) *planCache { return &planCache{mostPixels: mostPixels} }

// A planKey tells plans apart by what they stand on: the piece, what the log tells of other pieces, and which plan was chosen.
type planKey struct{ piece, past, chosen [sha256.Size]byte }

// short tells the plans of a piece apart in the addresses of their pictures.
func (k planKey) short() string { return fmt.Sprintf("%x%x%x", k.piece[:4], k.past[:4], k.chosen[:4]) }

func planKeyOf(req *workshop.PlanRequest) planKey {
	return planKey{pieceKey(&req.Piece), hashOf(req.Past), hashOf(req.Chosen)}
}

// pieceKey tells pieces apart, as far as that bears on counts: repairs, the room and the years do not.
func pieceKey(p *piece.Piece) [sha256.Size]byte {
	bare := *p
	bare.Repairs, bare.Room, bare.YearMade, bare.OldFinish, bare.Country, bare.Hours = nil, nil, 0, nil, "", 0
	return hashOf(bare)
}

func hashOf(plain any) [sha256.Size]byte {
	data, err := json.Marshal(plain)
	if err != nil {
		panic(err) // plain data
	}
	return sha256.Sum256(data)
}

// of is the plan that stands on something; nil where it is not kept.
func (p *planCache) of(key planKey) *cachedPlan {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	for i, m := range p.all {
		if m.key == key {
			p.all = append(append(p.all[:i:i], p.all[i+1:]...), m)
			return m
		}
	}
	return nil
}

// like is a plan that differs from one of a key in what was chosen alone; nil where none is kept.
func (p *planCache) like(key planKey) *cachedPlan {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	for _, m := range p.all {
		if m.key.piece == key.piece && m.key.past == key.past {
			return m
		}
	}
	return nil
}

func (p *planCache) add(m *cachedPlan) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.all = append(p.all, m)
	held := int64(0)
	for i := len(p.all) - 1; i >= 0; i-- {
		if held += p.all[i].photos.Pixels(); held > p.mostPixels && i < len(p.all)-1 {
			p.all = append([]*cachedPlan{}, p.all[i+1:]...)
			break
		}
	}
}
