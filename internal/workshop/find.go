package workshop

import (
	"context"
	"errors"

	"huewright/imageio"
	"huewright/imageio/chart"
	"huewright/internal/piece"
)

// findChart is a reference whose chart was looked for where its corners were not given. With
// "chart" it must be there; with "auto" a photo without one goes on as it is, a chart that
// cannot be used is a warning, and one of several that was not named is an error.
func findChart(ctx context.Context, photo *imageio.Photo, r piece.Reference) (ref piece.Reference, found bool, warnings []string, err error) {
	if !r.Searches() {
		return r, false, nil, nil
	}
	seen, err := chart.Find(ctx, photo, chart.Search{At: r.ChartAt, Edition: r.ChartEdition()})
	if err == nil {
		r.Kind, r.Corners = "chart", &seen.Corners
		return r, true, nil, nil
	}
	var refused *chart.Error
	if r.Kind == "chart" || r.ChartAt != nil || !errors.As(err, &refused) {
		return r, false, nil, err
	}
	switch refused.Fault {
	case chart.SeveralCharts, chart.EitherWay:
		return r, false, nil, err
	case chart.NoChart:
		return r, false, nil, r.NeedsChart()
	}
	if err := r.NeedsChart(); err != nil {
		return r, false, nil, err
	}
	return r, false, []string{refused.Problem + "; it is not used: " + refused.Advice}, nil
}
