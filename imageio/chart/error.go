package chart

import (
	"fmt"
	"strings"

	"huewright/imageio"
	"huewright/internal/fault"
)

// Codes of a search's faults that callers tell apart: there is no chart, there are several, one that may be meant
// either way round, or a card of other colours. The others say what is wrong with the only one.
const (
	None      fault.Code = "chart.none"
	Several   fault.Code = "chart.several"
	EitherWay fault.Code = "chart.either-way"
	Another   fault.Code = "chart.another"
)

func noChart(p *imageio.Photo, at *imageio.Point) error {
	in := fault.Place{File: p.Path}
	if at != nil {
		return fault.In(fault.New(fault.Photo, "chart.none-there", "at", fmt.Sprintf("%.0f,%.0f", at.X, at.Y)), in)
	}
	return fault.In(fault.New(fault.Photo, "chart.none"), in)
}

func severalCharts(p *imageio.Photo, charts []finding) error {
	middles := make([]string, len(charts))
	for i, f := range charts {
		middles[i] = f.where()
	}
	return fault.In(fault.New(fault.Photo, "chart.several", "charts", len(charts), "places", middles, "first", middles[0]),
		fault.Place{File: p.Path})
}

// faulty is the fault of the only thing that was found.
func faulty(p *imageio.Photo, f *finding, valued bool) error {
	return fault.In(f.refusal(valued), fault.Place{File: p.Path})
}

// refusal says what is wrong with a finding. It is valued if the search was for a card of given values.
func (f *finding) refusal(valued bool) *fault.Fault {
	switch at := f.where(); f.flaw {
	case mirrored:
		return fault.New(fault.Photo, "chart.mirrored", "at", at)
	case cutOff:
		return fault.New(fault.Photo, "chart.cut-off", "at", at, "patches", few(f.outside), "more", more(f.outside))
	case covered:
		if len(f.hidden) <= mostHidden {
			return fault.New(fault.Photo, "chart.blurred", "at", at)
		}
		return fault.New(fault.Photo, "chart.covered", "at", at, "patches", few(f.hidden), "more", more(f.hidden))
	case tooSmall:
		return fault.New(fault.Photo, "chart.small", "at", at, "side", shortestSide(f.corners), "need", leastPatchSide)
	case eitherWay:
		return fault.New(fault.Photo, "chart.either-way", "misfit", f.misfit, "next", f.next,
			"corners", cornersText(f.corners, "%.1f"), "other", cornersText(f.other, "%.1f"))
	}
	if valued {
		return fault.New(fault.Photo, "chart.other-values", "at", f.where())
	}
	return fault.New(fault.Photo, Another, "at", f.where())
}

// few are the first of many names, and more how many there are besides.
func few(names []string) []string { return names[:min(len(names), 6)] }
func more(names []string) int     { return len(names) - len(few(names)) }

// cornersText writes corners as they are given by hand, each number by a verb of fmt.
func cornersText(q [4]imageio.Point, verb string) string {
	words := make([]string, len(q))
	for i, c := range q {
		words[i] = fmt.Sprintf(verb+","+verb, c.X, c.Y)
	}
	return strings.Join(words, " ")
}
