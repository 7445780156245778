package workshop

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"huewright/imageio"
)

// found is a reference whose chart was looked for where its corners were not given. With
// "chart" it must be there; with "auto" a photo without one goes on as it is, a chart that
// cannot be used is a warning, and one of several that was not named is an error.
func (r Reference) found(ctx context.Context, photo *imageio.Photo) (ref Reference, found bool, warnings []string, err error) {
	if !r.searches() {
		return r, false, nil, nil
	}
	chart, err := photo.FindChart(ctx, imageio.ChartSearch{At: r.ChartAt, Edition: r.edition()})
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
		return r, false, nil, r.needsChart()
	}
	if err := r.needsChart(); err != nil {
		return r, false, nil, err
	}
	return r, false, []string{refused.Problem + "; it is not used: " + refused.Advice}, nil
}

// searches reports whether a chart is to be looked for: its corners are not given, and nothing
// as good as it is.
func (r Reference) searches() bool {
	if r.Corners != nil {
		return false
	}
	switch r.Kind {
	case "chart":
		return true
	case "", "auto":
		return r.Grey == nil
	}
	return false
}

// needsChart is the error of what was said of a chart, where there is none.
func (r Reference) needsChart() error {
	const advice = "give the chart's corners: they were not found"
	switch {
	case r.ChartValues != "":
		return &UseError{"chart_values", "there are values of a chart, but no chart", advice}
	case r.ChartWidth != 0:
		return &UseError{"chart_width", "the width of a chart is given, but no chart", advice + "; or mark a known length instead"}
	}
	return nil
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
