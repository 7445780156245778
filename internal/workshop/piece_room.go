package workshop

import (
	"fmt"
	"math"
	"strings"
	"time"

	"huewright/blend"
)

// drying checks what a tin says.
func (c *pieceCheck) drying(path string, d *DryingLabel) {
	for _, f := range []struct {
		key       string
		v         float64
		low, high float64
		unit      string
	}{
		{"recoat_after", d.RecoatAfter, 0, 24 * 60, "hours"}, {"recoat_before", d.RecoatBefore, 0, 24 * 365, "hours"},
		{"not_below", d.NotBelow, -20, 120, "degrees"}, {"not_above", d.NotAbove, -20, 200, "degrees"}, {"not_damper", d.NotDamper, 0, 100, "per cent of relative humidity"},
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
func (c *pieceCheck) clear(k *Clear) {
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
func (c *pieceCheck) room(r *Room) {
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

const (
	defaultOpens  = 8 * time.Hour
	defaultCloses = 20 * time.Hour
	startAdvice   = "say it as 2026-03-14T09:00, or 2026-03-14 for the morning of that day; leave it out for now"
)

// clock is a time of day after midnight.
func clock(text string, without time.Duration) (time.Duration, error) {
	if text == "" {
		return without, nil
	}
	t, err := time.Parse("15:04", text)
	if err != nil {
		return 0, fmt.Errorf("%q is no time of day", text)
	}
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute, nil
}

// startOf is when work begins, in the zone of now.
func startOf(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return now, nil
	}
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02"} {
		if t, err := time.ParseInLocation(layout, text, now.Location()); err == nil {
			return t, nil
		}
	}
	return time.Time{}, &UseError{"start", fmt.Sprintf("%q is no time", text), startAdvice}
}

// celsius is a temperature of the piece file in °C.
func (p *Piece) celsius(t float64) float64 {
	if p.Units == "us" {
		return (t - 32) / 1.8
	}
	return t
}

// air is the room's, as far as it is known.
func (p *Piece) air() blend.Room {
	r := blend.Room{Temperature: math.NaN(), Humidity: math.NaN()}
	if p.Room == nil {
		return r
	}
	if p.Room.Temperature != nil {
		r.Temperature = p.celsius(*p.Room.Temperature)
	}
	if p.Room.Humidity != nil {
		r.Humidity = *p.Room.Humidity
	}
	return r
}

// label is what a tin says, in the units of blend.
func (p *Piece) label(d *DryingLabel) blend.Label {
	l := blend.Label{
		After: time.Duration(d.RecoatAfter * float64(time.Hour)), Before: time.Duration(d.RecoatBefore * float64(time.Hour)), NotDamper: d.NotDamper,
	}
	if d.NotBelow != 0 {
		l.NotBelow = p.celsius(d.NotBelow)
	}
	if d.NotAbove != 0 {
		l.NotAbove = p.celsius(d.NotAbove)
	}
	return l
}
