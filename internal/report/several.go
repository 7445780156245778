package report

import (
	"io"

	"huewright/internal/words"
	"huewright/internal/workshop"
)

// SeveralText writes what several photos say for a terminal.
func (s Style) SeveralText(w io.Writer, r *workshop.SeveralResult) error {
	if s.Quiet {
		return s.quietSeveral(w, r)
	}
	p := page{Style: s}
	for i, photo := range r.Photos {
		if i > 0 {
			p.line("")
		}
		if photo.Err != nil {
			p.line("%s", photo.Photo)
			p.fault("  ", p.say("several.not-read")+" ", withoutFile(photo.Err, photo.Photo))
			continue
		}
		p.measure(photo.Result)
	}
	if len(r.Between) > 0 {
		p.line("")
	}
	p.agreements(r.Between)
	p.warnings("  ", r.Warnings)
	return p.writeTo(w)
}

func (p *page) agreements(pairs []workshop.Agreement) {
	for _, pair := range pairs {
		if pair.Tied {
			p.wrapped("  ", p.say("several.agree", "first", pair.Photos[0], "second", pair.Photos[1], "plus-minus", pair.PlusMinus))
		}
	}
}

type severalJSON struct {
	Version  int                `json:"version"`
	Photos   []severalPhotoJSON `json:"photos"`
	Between  []pairJSON         `json:"between"` // each pair of photos, where ties were given
	Warnings []string           `json:"warnings"`
}

type severalPhotoJSON struct {
	Photo       string           `json:"photo"`
	Error       string           `json:"error,omitempty"`
	Hint        string           `json:"hint,omitempty"`
	Calibration *calibrationJSON `json:"calibration"` // null with an error
	Areas       []areaJSON       `json:"areas"`
}

// SeveralJSON writes what several photos say as JSON.
func SeveralJSON(w io.Writer, r *workshop.SeveralResult) error {
	out := severalJSON{Version: Version, Photos: []severalPhotoJSON{}, Between: pairsOf(r.Between), Warnings: warningsOf(r.Warnings)}
	for _, photo := range r.Photos {
		one := severalPhotoJSON{Photo: photo.Photo, Areas: []areaJSON{}}
		if photo.Err != nil {
			one.Error, one.Hint = words.Speaker{}.Fault(photo.Err)
		} else {
			one.Calibration = new(measuredCalibration(photo.Result))
			for _, a := range photo.Result.Areas {
				one.Areas = append(one.Areas, areaOf(a))
			}
		}
		out.Photos = append(out.Photos, one)
	}
	return writeJSON(w, out)
}

func pairsOf(pairs []workshop.Agreement) []pairJSON {
	all := []pairJSON{}
	for _, p := range pairs {
		one := pairJSON{Photos: p.Photos, Tied: p.Tied}
		if p.Tied {
			one.PlusMinus = new(num(p.PlusMinus))
		}
		all = append(all, one)
	}
	return all
}

// pairJSON says how far two photos agree.
type pairJSON struct {
	Photos    [2]string `json:"photos"`
	Tied      bool      `json:"tied"`
	PlusMinus *num      `json:"plus_minus"` // of a difference between them, at a mid-brown wood; null where nothing ties them
}
