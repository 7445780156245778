package workshop

import (
	"errors"
	"fmt"
	"strings"

	"huewright/imageio"
)

// mayHaveChart reports whether a chart is given or will be looked for.
func (r Reference) mayHaveChart() bool {
	return r.Corners != nil || r.Kind == "chart" || (r.Kind == "" || r.Kind == "auto") && r.Grey == nil
}

// found is a reference whose chart was looked for where its corners were not given. With
// "chart", or where something is said of the chart, it must be there; otherwise a photo without one goes on as it is, a chart that
// cannot be used is a warning, and one of several that was not named is an error.
func (r Reference) found(photo *imageio.Photo) (ref Reference, found bool, warnings []string, err error) {
	if r.Corners != nil || !r.mayHaveChart() {
		return r, false, nil, nil
	}
	chart, err := photo.FindChart(imageio.ChartSearch{At: r.ChartAt, Edition: r.edition()})
	if err == nil {
		r.Kind, r.Corners = "chart", &chart.Corners
		return r, true, nil, nil
	}
	var refused *imageio.ChartError
	meant := r.Kind == "chart" || r.ChartAt != nil || r.ChartValues != "" || r.ChartWidth != 0
	if meant || !errors.As(err, &refused) {
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
