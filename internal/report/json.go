package report

import (
	"encoding/json"
	"io"
	"math"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// Version is that of all JSON; it is raised when a field of the JSON changes its meaning or goes; new fields may come without it. 1 had a
// plan for each area, and 0 for what was never predicted.
const Version = 2

// writeJSON puts out v with its figures rounded to what they are worth.
func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// num is a figure rounded to four decimals.
type num float64

func (n num) MarshalJSON() ([]byte, error) {
	rounded := math.Round(float64(n)*1e4) / 1e4
	if math.IsNaN(rounded) || math.IsInf(rounded, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(rounded + 0) // −0 becomes 0
}

func triple(c colour.Lab) [3]num { return [3]num{num(c.L), num(c.A), num(c.B)} }

// warningsOf is what warnings say, each with what to do.
func warningsOf(notes []fault.Note) []string { return words.Speaker{}.Warnings(notes) }

// nonNil keeps an empty list from becoming null.
func nonNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

type calibrationJSON struct {
	Verdict   verdictJSON `json:"verdict"`
	Reference string      `json:"reference"`
	White     string      `json:"white,omitempty"` // what a raw photo is balanced by
	Corners   *[4][2]num  `json:"corners"`         // of the chart's patch field; null without a chart
	Found     bool        `json:"found"`           // the corners were found in the photo, not given
	FitDE     *num        `json:"fit_delta_e"`     // null without a reference
	LOODE     *num        `json:"loo_delta_e"`     // null without a chart
	LOOP95    *num        `json:"loo_p95"`
	Patches   []patchJSON `json:"patches"`
	Light     *lightJSON  `json:"light"`           // null when nothing tells of it
	Slips     []slipJSON  `json:"slips,omitempty"` // printed slips that were found
	Warnings  []string    `json:"warnings"`
}

type verdictJSON struct {
	Answer string `json:"answer"`
	Says   string `json:"says"`
}

func verdictOf(v workshop.Verdict, c *workshop.Calibration) verdictJSON {
	return verdictJSON{v.Answer, Style{}.verdict(v, c)}
}

type slipJSON struct {
	Number int  `json:"number"`
	Set    int  `json:"set"`
	Grey   bool `json:"grey"`
}

type lightJSON struct {
	By       string        `json:"by"`    // neutrals or flat
	Found    num           `json:"found"` // share of luminance by which it changes
	Left     num           `json:"left"`  // that may still be uneven
	Neutrals []neutralJSON `json:"neutrals"`
}

type neutralJSON struct {
	Lightness num `json:"lightness"`
	LeftOut   num `json:"left_out"` // share by which it is lighter than the others let expect; null when they do not tell
}

func lightOf(l *workshop.LightReport) *lightJSON {
	if l == nil {
		return nil
	}
	j := &lightJSON{By: l.By, Found: num(l.Found), Left: num(l.Left), Neutrals: []neutralJSON{}}
	for _, n := range l.Neutrals {
		j.Neutrals = append(j.Neutrals, neutralJSON{num(n.Lightness), num(n.LeftOut)})
	}
	return j
}

type patchJSON struct {
	Name   string `json:"name"`
	Want   [3]num `json:"want"`
	Got    [3]num `json:"got"`
	DE     num    `json:"delta_e"`
	LOO    *num   `json:"loo_delta_e"`
	Used   bool   `json:"used"`
	Reason string `json:"reason,omitempty"` // why it was not used
}

func calibrationOf(c workshop.Calibration) calibrationJSON {
	j := calibrationJSON{
		Verdict: verdictOf(c.Verdict(), &c), Reference: c.Reference, White: c.White, Found: c.Found, Patches: []patchJSON{},
		Light:    lightOf(c.Light),
		Warnings: warningsOf(c.Warnings),
	}
	for _, d := range c.Slips {
		j.Slips = append(j.Slips, slipJSON{d.Number, d.Set, d.Grey})
	}
	if c.Reference == "chart" && c.Corners != nil {
		j.Corners = new([4][2]num)
		for i, at := range c.Corners {
			j.Corners[i] = [2]num{num(at.X), num(at.Y)}
		}
	}
	r := c.Report
	if len(r.Patches) == 0 {
		return j
	}
	j.FitDE = new(num(r.MeanDeltaE))
	if c.Reference == "chart" {
		j.LOODE, j.LOOP95 = new(num(r.LOOMean)), new(num(r.LOOP95))
	}
	for _, p := range r.Patches {
		patch := patchJSON{Name: p.Name, Want: triple(p.Want), Got: triple(p.Got), DE: num(p.DeltaE), Used: p.Used}
		patch.Reason = words.Speaker{}.Say(p.Why)
		if !math.IsNaN(p.LeftOut) {
			patch.LOO = new(num(p.LeftOut))
		}
		j.Patches = append(j.Patches, patch)
	}
	return j
}

type areaJSON struct {
	Name      string      `json:"name"`
	Outline   string      `json:"outline"` // in pixels of the photo, as --area reads it: as given, or grown from taps
	Lab       [3]num      `json:"lab"`
	Spread    [3]num      `json:"spread"`
	PlusMinus num         `json:"plus_minus"`
	Pixels    int         `json:"pixels"`
	Dropped   droppedJSON `json:"dropped"`
	LQuantile [5]num      `json:"l_quantiles"` // L* at 5, 25, 50, 75, 95 %
	Ground    [3]num      `json:"ground"`
	Figure    [3]num      `json:"figure"`
	SizeM2    *num        `json:"size_m2"` // null when nothing tells
	Warnings  []string    `json:"warnings"`
}

type droppedJSON struct {
	Glare int `json:"glare"`
	Gaps  int `json:"gaps"`
}

func areaOf(a workshop.AreaReading) areaJSON {
	r := a.Reading
	j := areaJSON{
		Name: a.Name, Outline: a.Outline.String(), Lab: triple(r.Mean),
		Spread:    [3]num{num(r.Spread[0]), num(r.Spread[1]), num(r.Spread[2])},
		PlusMinus: num(r.PlusMinus), Pixels: r.Pixels,
		Dropped: droppedJSON{r.Dropped.Glare, r.Dropped.Gaps},
		Ground:  triple(r.Ground), Figure: triple(r.Figure),
		Warnings: warningsOf(r.Warnings),
	}
	if a.SquareMetres > 0 {
		j.SizeM2 = new(num(a.SquareMetres))
	}
	for i, l := range r.LQuantiles {
		j.LQuantile[i] = num(l)
	}
	return j
}

// measuredCalibration is the calibration of a photo with its verdict on what was measured there.
func measuredCalibration(m *workshop.MeasureResult) calibrationJSON {
	j := calibrationOf(m.Calibration)
	j.Verdict = verdictOf(m.Verdict(), &m.Calibration)
	return j
}

type measureJSON struct {
	Version     int             `json:"version"`
	Photo       string          `json:"photo"`
	Calibration calibrationJSON `json:"calibration"`
	Areas       []areaJSON      `json:"areas"`
}

// MeasureJSON writes a measurement as JSON.
func MeasureJSON(w io.Writer, m *workshop.MeasureResult) error {
	out := measureJSON{Version: Version, Photo: m.Photo, Calibration: measuredCalibration(m), Areas: []areaJSON{}}
	for _, a := range m.Areas {
		out.Areas = append(out.Areas, areaOf(a))
	}
	return writeJSON(w, out)
}

type differenceJSON struct {
	DeltaE2000 num    `json:"delta_e_2000"`
	PlusMinus  num    `json:"plus_minus"`
	DeltaE76   num    `json:"delta_e_76"`
	DeltaE94   num    `json:"delta_e_94"`
	DeltaECMC  num    `json:"delta_e_cmc"`
	Words      string `json:"words"`
}

func differenceOf(d workshop.Difference) differenceJSON {
	return differenceJSON{num(d.DeltaE2000), num(d.PlusMinus), num(d.DeltaE76), num(d.DeltaE94), num(d.DeltaECMC),
		words.Speaker{}.Say(d.Words)}
}

type twoColoursJSON struct {
	Version int    `json:"version"`
	Target  [3]num `json:"target"`
	Lab     [3]num `json:"lab"`
	differenceJSON
}

// DifferenceJSON writes the difference between two typed colours as JSON.
func DifferenceJSON(w io.Writer, ref, sample colour.Lab, d workshop.Difference) error {
	return writeJSON(w, twoColoursJSON{Version, triple(ref), triple(sample), differenceOf(d)})
}

type compareJSON struct {
	Version     int             `json:"version"`
	Photo       string          `json:"photo"`
	Calibration calibrationJSON `json:"calibration"`
	TargetName  string          `json:"target_name,omitempty"`
	Target      [3]num          `json:"target"`
	Areas       []comparedJSON  `json:"areas"`
}

type comparedJSON struct {
	Name string `json:"name"`
	Lab  [3]num `json:"lab"`
	differenceJSON
	Warnings []string `json:"warnings"`
}

// CompareJSON writes the differences of areas from a target as JSON.
func CompareJSON(w io.Writer, c *workshop.CompareResult) error {
	out := compareJSON{Version: Version, Photo: c.Photo, Calibration: measuredCalibration(&c.MeasureResult), TargetName: c.TargetName,
		Target: triple(c.Target)}
	for i, a := range c.Areas {
		out.Areas = append(out.Areas, comparedJSON{a.Name, triple(a.Reading.Mean), differenceOf(c.Differences[i]),
			warningsOf(a.Reading.Warnings)})
	}
	return writeJSON(w, out)
}
