package piece

import (
	"time"

	"huewright/blend"
	"huewright/internal/fault"
)

// drying checks what a tin says.
func (c *checker) drying(path string, d *DryingLabel) {
	for _, f := range []struct {
		key       string
		code      fault.Code
		v         float64
		low, high float64
	}{
		{"recoat_after", "piece.recoat-after", d.RecoatAfter, 0, 24 * 60},
		{"recoat_before", "piece.recoat-before", d.RecoatBefore, 0, 24 * 365},
		{"not_below", "piece.not-below", d.NotBelow, -20, 120},
		{"not_above", "piece.not-above", d.NotAbove, -20, 200},
		{"not_damper", "piece.not-damper", d.NotDamper, 0, 100},
	} {
		c.within(path+"."+f.key, f.code, f.v, f.low, f.high)
	}
	if d.RecoatBefore > 0 && d.RecoatBefore <= d.RecoatAfter {
		c.fault(path+".recoat_before", "piece.recoat-order", "before", d.RecoatBefore, "after", d.RecoatAfter)
	}
}

// clear checks the clear coat to come.
func (c *checker) clear(k *Clear) {
	c.drying("clear", &k.DryingLabel)
	c.oneOf("clear.family", k.Family, blend.Families)
	c.oneOf("clear.put_on", k.PutOn, blend.PutOns)
	c.within("clear.coats", "piece.clear-coats", float64(k.Coats), 0, 20)
}

// room checks where and when the piece is worked on.
func (c *checker) room(r *Room) {
	if t := r.Temperature; t != nil {
		c.within("room.temperature", "piece.temperature", *t, -40, 130)
	}
	if h := r.Humidity; h != nil {
		c.within("room.humidity", "piece.humidity", *h, 0, 100)
	}
	if _, err := startOf(r.Start, time.Now()); err != nil {
		c.keep("room.start", fault.Of(err))
	}
	opens, err := clock(r.Opens, defaultOpens)
	if err != nil {
		c.keep("room.opens", fault.Of(err))
		return
	}
	closes, err := clock(r.Closes, defaultCloses)
	switch {
	case err != nil:
		c.keep("room.closes", fault.Of(err))
	case closes <= opens:
		c.fault("room.closes", "piece.closes-early")
	}
}
