package web

import (
	"crypto/sha256"
	"encoding/json"
	"sync"

	"huewright/internal/workshop"
)

// plans are the last few plans, kept to be shown and to make pictures from.
type plans struct {
	most  int
	mutex sync.Mutex
	all   []*madePlan // the last used last
}

// A madePlan is a plan of a piece as it was.
type madePlan struct {
	of      [sha256.Size]byte
	request workshop.PlanRequest
	result  *workshop.PlanResult
	preview *workshop.Preview
}

func newPlans(most int) *plans { return &plans{most: most} }

// keyOf tells pieces apart, as far as that bears on counts: repairs, the room and the years do not.
func keyOf(p *workshop.Piece) [sha256.Size]byte {
	bare := *p
	bare.Repairs, bare.Room, bare.YearMade, bare.OldFinish = nil, nil, 0, nil
	data, err := json.Marshal(bare)
	if err != nil {
		panic(err) // plain data
	}
	return sha256.Sum256(data)
}

// of is the plan of a piece, as it is; nil where it is not kept.
func (p *plans) of(piece *workshop.Piece) *madePlan {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	key := keyOf(piece)
	for i, m := range p.all {
		if m.of == key {
			p.all = append(append(p.all[:i:i], p.all[i+1:]...), m)
			return m
		}
	}
	return nil
}

func (p *plans) keep(m *madePlan) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.all = append(p.all, m)
	if len(p.all) > p.most {
		p.all = append([]*madePlan{}, p.all[len(p.all)-p.most:]...)
	}
}
