package piece

import (
	"slices"
	"strings"

	"huewright/colour/camera"
	"huewright/imageio"
	"huewright/imageio/evenlight"
	"huewright/internal/fault"
)

// A Reference says what in a photo has known colours. The zero value is "auto": the chart
// when corners are given, the grey card when its outline is, otherwise a chart if one is found,
// the neutrals when they are marked, otherwise none.
type Reference struct {
	Kind          string            `json:"kind,omitempty"` // one of ReferenceKinds; "" means auto
	Corners       *[4]imageio.Point `json:"corners,omitempty"`
	ChartAt       *imageio.Point    `json:"chart_at,omitempty"` // a point on the chart that is meant, where several are found
	Edition       string            `json:"edition,omitempty"`  // of the chart's published values, one of Editions; "" means the newer
	Grey          *imageio.Outline  `json:"grey,omitempty"`
	GreyLightness float64           `json:"grey_lightness,omitempty"` // L* of the grey card or paper; 0 means as it looks: 94 or 50
	ChartValues   string            `json:"chart_values,omitempty"`   // file of values measured on this very chart, as in readChartValues

	Neutrals []Neutral `json:"neutrals,omitempty"` // slips of paper that tell of the light
	// NeutralLightness is the L* of those that have none of their own; 0 means 94, which beside a chart or a card is not relied on
	NeutralLightness float64 `json:"neutral_lightness,omitempty"`
	SlipMarks
	Flat string `json:"flat,omitempty"` // file of a photo of a blank sheet or wall under the same light

	// ChartWidth is that of the patch field in mm, along its rows of six, outer edge to outer edge; 0 means not known
	ChartWidth float64 `json:"chart_width,omitempty"`
	Length     *Length `json:"length,omitempty"` // a known length in the photo
}

// referenceKinds are the values of Reference.Kind.
var referenceKinds = []string{"auto", "chart", "grey", "neutral", "none"}

// editions are the published values of the 24-patch chart: charts made before and since
// November 2014 differ a little.
var editions = []string{"since-2014", "before-2014"}

// By decides what "auto" means, when no chart has been looked for or none was found.
func (r Reference) By() string {
	switch {
	case r.Kind != "" && r.Kind != "auto":
		return r.Kind
	case r.Corners != nil:
		return "chart"
	case r.Grey != nil:
		return "grey"
	case len(r.Neutrals) > 0:
		return "neutral"
	}
	return "none"
}

func (r Reference) Check() error {
	if r.Kind != "" && !slices.Contains(referenceKinds, r.Kind) {
		return atKey("reference", "piece.choice", "key", "reference", "value", r.Kind, "allowed", referenceKinds)
	}
	if r.Edition != "" && !slices.Contains(editions, r.Edition) {
		return atKey("chart_edition", "piece.choice", "key", "chart_edition", "value", r.Edition, "allowed", editions)
	}
	if r.Corners != nil && r.Grey != nil && r.Kind != "chart" && r.Kind != "grey" {
		return atKey("reference", "piece.chart-or-grey")
	}
	if r.By() == "grey" && r.Grey == nil {
		return atKey("reference", "piece.no-grey-card")
	}
	if err := r.checkLight(); err != nil {
		return err
	}
	if v := r.GreyLightness; v != 0 && !isLightness(v) {
		return atKey("grey_lightness", "piece.card-lightness", "value", v, "low", leastLightness, "high", mostLightness)
	}
	return nil
}

// ReadReference reads what a piece file says of a photo's reference.
func (p *Photo) ReadReference() (Reference, error) {
	r := Reference{Kind: p.Reference, Edition: p.Edition, GreyLightness: p.GreyLightness}
	if p.Corners != "" {
		corners, err := ParseCorners(p.Corners)
		if err != nil {
			return r, err
		}
		r.Corners = &corners
	}
	if p.ChartAt != "" {
		at, ok := parsePoint(p.ChartAt)
		if !ok {
			return r, atKey("chart_at", "piece.point", "text", p.ChartAt)
		}
		r.ChartAt = &at
	}
	if p.Grey != "" {
		outline, err := imageio.ParseOutline(p.Grey)
		if err != nil {
			return r, &keyFault{"grey", fault.Of(err)}
		}
		r.Grey = &outline
	}
	r.ChartValues, r.NeutralLightness, r.Flat, r.ChartWidth = p.ChartValues, p.NeutralLightness, p.Flat, p.ChartWidth
	for _, text := range p.Neutrals {
		n, err := ParseNeutral(text)
		if err != nil {
			return r, err
		}
		r.Neutrals = append(r.Neutrals, n)
	}
	var err error
	if r.SlipMarks, err = p.readSlipMarks(); err != nil {
		return r, err
	}
	if p.Scale != nil {
		length, err := p.Scale.length()
		if err != nil {
			return r, err
		}
		r.Length = &length
	}
	return r, nil
}

// InPiece is a photo of a piece with this reference, as [Photo.ReadReference] reads it.
func (r Reference) InPiece(name, file string) Photo {
	p := Photo{
		Name: name, File: file, Edition: r.Edition, ChartValues: r.ChartValues, NeutralLightness: r.NeutralLightness, Flat: r.Flat,
		ChartWidth: r.ChartWidth,
	}
	if r.Kind != "auto" {
		p.Reference = r.Kind
	}
	if r.Corners != nil {
		p.Corners = pointsText(r.Corners[:]...)
	}
	if r.ChartAt != nil {
		p.ChartAt = pointsText(*r.ChartAt)
	}
	if r.Grey != nil {
		p.Grey, p.GreyLightness = r.Grey.String(), r.GreyLightness
	}
	for _, n := range r.Neutrals {
		p.Neutrals = append(p.Neutrals, n.String())
	}
	for _, at := range r.NotSlips {
		p.NotSlips = append(p.NotSlips, pointsText(at))
	}
	for _, corners := range r.SlipCorners {
		p.SlipCorners = append(p.SlipCorners, pointsText(corners[:]...))
	}
	if l := r.Length; l != nil {
		p.Scale = &Scale{From: pointsText(l.From), To: pointsText(l.To), MM: l.MM}
	}
	return p
}

// ParseCorners reads the four outer corners of a chart's patch field, "x,y x,y x,y x,y" in
// upright pixels, beginning at the dark-brown patch, then along its row of six to the
// bluish-green one, then round.
func ParseCorners(s string) ([4]imageio.Point, error) {
	corners, n, err := fourPoints(s, "corners")
	if n != len(corners) {
		return corners, atKey("corners", "piece.corners", "n", n)
	}
	return corners, err
}

// fourPoints reads four points of a key, and returns how many there are: where they are not four, none is read.
func fourPoints(s, key string) (points [4]imageio.Point, n int, err error) {
	fields := strings.Fields(s)
	if len(fields) != len(points) {
		return points, len(fields), nil
	}
	for i, field := range fields {
		at, ok := parsePoint(field)
		if !ok {
			return points, len(fields), atKey(key, "piece.point", "text", field)
		}
		points[i] = at
	}
	return points, len(fields), nil
}

// The width of a chart's patch field, in mm, that is no slip of the pen.
const (
	leastChart = 10.0
	mostChart  = 2000.0
)

func (r Reference) checkLight() error {
	if v := r.NeutralLightness; v != 0 && !isLightness(v) {
		return atKey("neutral_lightness", "piece.slip-lightness", "value", v, "low", leastLightness, "high", mostLightness)
	}
	for _, n := range r.Neutrals {
		if v := n.Lightness; v != 0 && !isLightness(v) {
			return atKey("neutral", "piece.slip-lightness", "value", v, "low", leastLightness, "high", mostLightness)
		}
	}
	switch kind := r.By(); {
	case kind == "neutral" && len(r.Neutrals) == 0:
		return atKey("reference", "piece.no-slip")
	case r.ChartWidth != 0 && !(r.ChartWidth >= leastChart && r.ChartWidth <= mostChart):
		return atKey("chart_width", "piece.chart-width", "value", r.ChartWidth, "low", leastChart, "high", mostChart)
	}
	if r.Corners == nil && !r.Searches() {
		if err := r.NeedsChart(); err != nil {
			return err
		}
	}
	return r.Length.check()
}

// Searches reports whether a chart is to be looked for: its corners are not given, and nothing
// as good as it is.
func (r Reference) Searches() bool {
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

// NeedsChart is the error of what was said of a chart, where there is none.
func (r Reference) NeedsChart() error {
	switch {
	case r.ChartValues != "":
		return atKey("chart_values", "piece.values-without-chart")
	case r.ChartWidth != 0:
		return atKey("chart_width", "piece.width-without-chart")
	}
	return nil
}

func (r Reference) ChartEdition() camera.Edition {
	if r.Edition == "before-2014" {
		return camera.Before2014
	}
	return camera.Since2014
}

// Files are those that a reference names.
func (r *Reference) Files() []string {
	return slices.DeleteFunc([]string{r.Flat, r.ChartValues}, func(s string) bool { return s == "" })
}

// defaultGreyLightness is that of a mid-grey card: common practice, no source.
const defaultGreyLightness = 50

// CardLightness is the L* of the grey card or paper; of one whose lightness was not said, by whether it looks like paper.
func (r Reference) CardLightness(paper bool) float64 {
	switch {
	case r.GreyLightness != 0:
		return r.GreyLightness
	case paper:
		return defaultNeutralLightness
	}
	return defaultGreyLightness
}

// Slips are the neutrals with their lightness, and whether that was said rather than assumed.
func (r Reference) Slips() (slips []evenlight.Slip, said bool) {
	said = r.NeutralLightness != 0
	for _, n := range r.Neutrals {
		lightness := n.Lightness
		if lightness == 0 {
			lightness = r.NeutralLightness
		} else {
			said = true
		}
		if lightness == 0 {
			lightness = defaultNeutralLightness
		}
		slips = append(slips, evenlight.Slip{Outline: n.Outline, Lightness: lightness})
	}
	return slips, said
}
