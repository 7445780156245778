package workshop

import (
	"errors"
	"fmt"
	"strings"

	"huewright/imageio"
)

// found is a reference whose chart was looked for where its corners were not given. With
// "chart" it must be there; with "auto" a photo without one goes on as it is, a chart that
// cannot be used is a warning, and one of several that was not named is an error.
func (r Reference) found(photo *imageio.Photo) (ref Reference, found bool, warnings []string, err error) {
	if r.Corners != nil || (r.Kind != "chart" && r.resolve() != "none") || r.Kind == "none" {
		return r, false, nil, nil
	}
	chart, err := photo.FindChart(imageio.ChartSearch{At: r.ChartAt, Edition: r.edition()})
	if err == nil {
		r.Kind, r.Corners = "chart", &chart.Corners
		return r, true, nil, nil
	}
	var refused *imageio.ChartError
	if r.Kind == "chart" || r.ChartAt != nil || !errors.As(err, &refused) {
		return r, false, nil, err
	}
	switch refused.Fault {
	case imageio.SeveralCharts, imageio.EitherWay:
		return r, false, nil, err
	case imageio.NoChart:
		return r, false, nil, nil
	}
	return r, false, []string{refused.Problem + "; it is not used: " + refused.Advice}, nil
}

// Place is the chart's corners as they are given; "" without a chart.
func (c *Calibration) Place() string {
	if c.Corners == nil {
		return ""
	}
	var words []string
	for _, at := range c.Corners {
		words = append(words, fmt.Sprintf("%.1f,%.1f", at.X, at.Y))
	}
	return strings.Join(words, " ")
}
