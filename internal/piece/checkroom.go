package piece

import (
	"fmt"
	"strings"
	"time"

	"huewright/blend"
)

// drying checks what a tin says.
func (c *checker) drying(path string, d *DryingLabel) {
	for _, f := range []struct {
		key       string
		v         float64
		low, high float64
		unit      string
	}{
		{"recoat_after", d.RecoatAfter, 0, 24 * 60, "hours"}, {"recoat_before", d.RecoatBefore, 0, 24 * 365, "hours"},
		{"not_below", d.NotBelow, -20, 120, "degrees"}, {"not_above", d.NotAbove, -20, 200, "degrees"},
		{"not_damper", d.NotDamper, 0, 100, "per cent of relative humidity"},
	} {
		if !(f.v >= f.low && f.v <= f.high) {
			c.fault(path+"."+f.key, fmt.Sprintf("%s is %v", f.key, f.v), fmt.Sprintf("say it in %s, as the label does", f.unit))
			return
		}
	}
	if d.RecoatBefore > 0 && d.RecoatBefore <= d.RecoatAfter {
		c.fault(path+".recoat_before", "the latest for the next coat is before the earliest", "look at the label again: recoat_after comes first")
	}
}

// clear checks the clear coat to come.
func (c *checker) clear(k *Clear) {
	c.drying("clear", &k.DryingLabel)
	switch {
	case k.Family != "" && !blend.Family(k.Family).Known():
		c.fault("clear.family", fmt.Sprintf("%q is no family", k.Family), "say one of "+strings.Join(blend.Families, ", "))
	case k.PutOn != "" && !blend.PutOn(k.PutOn).Known():
		c.fault("clear.put_on", fmt.Sprintf("%q is no way to put a coating on", k.PutOn), "say one of "+strings.Join(blend.PutOns, ", "))
	case k.Coats < 0 || k.Coats > 20:
		c.fault("clear.coats", fmt.Sprintf("%d clear coats", k.Coats), "say how many, from 1 to 20")
	}
}

// room checks where and when the piece is worked on.
func (c *checker) room(r *Room) {
	if t := r.Temperature; t != nil && !(*t >= -40 && *t <= 130) {
		c.fault("room.temperature", fmt.Sprintf("a temperature of %v", *t), "in °C; in °F where units = \"us\"")
	}
	if h := r.Humidity; h != nil && !(*h >= 0 && *h <= 100) {
		c.fault("room.humidity", fmt.Sprintf("a humidity of %v", *h), "relative humidity, in per cent from 0 to 100")
	}
	if _, err := startOf(r.Start, time.Now()); err != nil {
		c.fault("room.start", fmt.Sprintf("%q is no time", r.Start), startAdvice)
	}
	opens, err := clock(r.Opens, defaultOpens)
	if err != nil {
		c.fault("room.opens", err.Error(), "as in \"08:00\"")
		return
	}
	closes, err := clock(r.Closes, defaultCloses)
	switch {
	case err != nil:
		c.fault("room.closes", err.Error(), "as in \"20:00\"")
	case closes <= opens:
		c.fault("room.closes", "the bench closes before it opens", "say opens and closes as times of one day: \"08:00\" and \"20:00\"")
	}
}
