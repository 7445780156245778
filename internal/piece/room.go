package piece

import (
	"math"
	"time"

	"huewright/blend/schedule"
	"huewright/internal/fault"
)

const (
	defaultOpens  = 8 * time.Hour
	defaultCloses = 20 * time.Hour
)

// clock is a time of day after midnight.
func clock(text string, without time.Duration) (time.Duration, error) {
	if text == "" {
		return without, nil
	}
	t, err := time.Parse("15:04", text)
	if err != nil {
		return 0, fault.New(fault.Use, "piece.time-of-day", "text", text)
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
	return time.Time{}, fault.New(fault.Use, "piece.start", "text", text)
}

// celsius is a temperature of the piece file in °C.
func (p *Piece) celsius(t float64) float64 {
	if p.Units == "us" {
		return (t - 32) / 1.8
	}
	return t
}

// air is the room's, as far as it is known.
func (p *Piece) air() schedule.Room {
	r := schedule.Room{Temperature: math.NaN(), Humidity: math.NaN()}
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

// Label is what a tin says, in the units of blend.
func (p *Piece) Label(d *DryingLabel) schedule.Label {
	l := schedule.Label{
		After: time.Duration(d.RecoatAfter * float64(time.Hour)), Before: time.Duration(d.RecoatBefore * float64(time.Hour)),
		NotDamper: d.NotDamper,
	}
	if d.NotBelow != 0 {
		l.NotBelow = p.celsius(d.NotBelow)
	}
	if d.NotAbove != 0 {
		l.NotAbove = p.celsius(d.NotAbove)
	}
	return l
}

// Bench is where and when the piece is worked on: from when the piece says, or now.
func (p *Piece) Bench(now time.Time) (schedule.Bench, error) {
	b := schedule.Bench{Start: now, Opens: defaultOpens, Closes: defaultCloses, Room: p.air()}
	if p.Room == nil {
		return b, nil
	}
	var err error
	if b.Start, err = startOf(p.Room.Start, now); err != nil {
		return b, err
	}
	if b.Opens, err = clock(p.Room.Opens, defaultOpens); err != nil {
		return b, err
	}
	b.Closes, err = clock(p.Room.Closes, defaultCloses)
	return b, err
}
