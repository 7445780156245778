package report

import (
	"io"
	"strings"

	"huewright/internal/words"
	"huewright/internal/workshop"
)

type planJSON struct {
	Version   int            `json:"version"`
	Piece     string         `json:"piece"`
	Photos    []photoJSON    `json:"photos"`
	Coatings  []coatingJSON  `json:"coatings"`
	Between   []pairJSON     `json:"between"`  // each pair of photos
	Finished  bool           `json:"finished"` // colours of plans are as seen under the clear coat to come
	Areas     []areaPlanJSON `json:"areas"`
	Meet      *meetJSON      `json:"meet"` // null where areas have targets
	Mix       *mixesJSON     `json:"mix"`
	Batches   []batchJSON    `json:"batches"`    // how much to mix for the suggested plan
	TestsNext []testJSON     `json:"tests_next"` // the best first
	Earlier   []earlierJSON  `json:"earlier"`    // what earlier pieces told of coatings
	Bias      biasJSON       `json:"habit"`      // of the hand, as earlier pieces show it
	Warnings  []string       `json:"warnings"`
}

type earlierJSON struct {
	Coating   string   `json:"coating"`
	Pieces    []string `json:"pieces"`
	Results   int      `json:"results"`
	Alike     int      `json:"on_like_wood"`
	SameBatch int      `json:"of_this_batch"`
	Chip      bool     `json:"chip"` // its own colour comes from there
}

type biasJSON struct {
	Pieces int `json:"pieces"` // that it was found from
	Film   num `json:"film"`   // logarithm of what coats leave over what is predicted
	Wider  num `json:"wider"`  // times that ranges are widened
}

func earlierOf(all []workshop.Earlier) []earlierJSON {
	out := []earlierJSON{}
	for _, e := range all {
		out = append(out, earlierJSON{e.Coating, nonNil(e.Pieces), e.Results, e.Alike, e.SameBatch, e.Chip})
	}
	return out
}

type photoJSON struct {
	Name        string          `json:"name"`
	Calibration calibrationJSON `json:"calibration"`
}

// areaReadingJSON is one photo's reading of an area that several show.
type areaReadingJSON struct {
	Photo     string `json:"photo"`
	Lab       [3]num `json:"lab"`
	DeltaE    num    `json:"delta_e"` // from the first photo's reading
	PlusMinus num    `json:"plus_minus"`
}

type coatingJSON struct {
	Name     string   `json:"name"`
	Kind     string   `json:"kind"`
	Dilution string   `json:"dilution"`
	Limit    *[3]num  `json:"limit"` // its colour where nothing shows through; null for a clear dye
	Warnings []string `json:"warnings"`
}

type areaPlanJSON struct {
	Name           string            `json:"name"`
	SizeM2         *num              `json:"size_m2"` // as given or measured; null when neither
	Start          [3]num            `json:"start"`
	StartPlusMinus num               `json:"start_plus_minus"`
	Readings       []areaReadingJSON `json:"shots"` // what start is the average of; empty for one photo
	Laid           []laidJSON        `json:"laid"`  // what the coats it has had were to do, and did

	Target          *[3]num      `json:"target"` // as it will be seen; null, like all below, where areas meet
	TargetPlusMinus *num         `json:"target_plus_minus"`
	Kind            string       `json:"kind,omitempty"` // of the suggested choice
	Coats           []coatJSON   `json:"coats"`
	StopAfter       int          `json:"stop_after"`
	Path            []stepJSON   `json:"path"`
	OneMore         *stepJSON    `json:"one_more"` // what one coat too many would do
	Before          *num         `json:"delta_e_before"`
	After           *num         `json:"delta_e_after"`
	Reachable       bool         `json:"reachable"`
	Why             string       `json:"why"`
	Choices         []choiceJSON `json:"choices"` // closest first
	Options         []otherJSON  `json:"options"` // every coating by itself, nearest first
}

type laidJSON struct {
	Coats     []coatJSON `json:"coats"`    // that it then had
	Predicted *[3]num    `json:"foreseen"` // null, like plus_minus and delta_e, where nothing was predicted
	PlusMinus *num       `json:"plus_minus"`
	Measured  [3]num     `json:"measured"`
	DeltaE    *num       `json:"delta_e"`
	Surprise  bool       `json:"surprise"`
	Causes    []string   `json:"causes"`
}

type choiceJSON struct {
	Kind      string     `json:"kind"`
	Coats     []coatJSON `json:"coats"`
	Between   []string   `json:"between"` // what to do between one of coats and the next
	DeltaE    spreadJSON `json:"delta_e"`
	Within    num        `json:"within"` // chance of ending within tolerance
	Grain     num        `json:"grain"`
	StopAfter int        `json:"stop_after"`
}

type otherJSON struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
	Range   [2]int `json:"range"`
	Lab     [3]num `json:"lab"`
	DeltaE  num    `json:"delta_e"`
	MayNot  string `json:"may_not,omitempty"` // why it may not be laid there
}

// PlanJSON writes a plan as JSON.
func PlanJSON(w io.Writer, r *workshop.PlanResult) error {
	out := planJSON{Version: version, Piece: r.Piece.Name, Photos: []photoJSON{}, Warnings: warningsOf(r.Warnings)}
	out.Earlier, out.Bias = earlierOf(r.Earlier), biasJSON{r.Pieces, num(r.Bias.Film), num(max(1, r.Bias.Wider))}
	for _, p := range r.Photos {
		out.Photos = append(out.Photos, photoJSON{p.Name, calibrationOf(p.Calibration)})
	}
	out.Between = pairsOf(r.Between)
	for i, k := range r.Coatings {
		c := coatingJSON{
			Name: k.Coating.Name, Kind: string(k.Coating.Kind),
			Dilution: r.Piece.Coatings[i].Dilution.String(), Warnings: warningsOf(k.Report.Warnings),
		}
		if k.Limit.IsFinite() {
			c.Limit = new(triple(k.Limit))
		}
		out.Coatings = append(out.Coatings, c)
	}
	for _, a := range r.Areas {
		out.Areas = append(out.Areas, areaPlanOf(a))
	}
	out.Finished, out.Meet, out.Mix, out.TestsNext = r.Finished, meetOf(r.Meet), mixesOf(r.Mix), testsOf(r.Tests)
	out.Batches = batchesOf(r.Batches)
	return writeJSON(w, out)
}

func areaPlanOf(a workshop.AreaPlan) areaPlanJSON {
	out := areaPlanJSON{
		Name: a.Area.Name, Start: triple(a.Start.Lab), StartPlusMinus: num(a.Start.PlusMinus), Readings: []areaReadingJSON{}, Laid: []laidJSON{},
		Coats: []coatJSON{}, Path: []stepJSON{}, Choices: []choiceJSON{}, Options: []otherJSON{},
	}
	if a.Area.SizeM2 > 0 {
		out.SizeM2 = new(num(a.Area.SizeM2))
	}
	for _, s := range a.Views {
		out.Readings = append(out.Readings, areaReadingJSON{s.Photo, triple(s.Lab), num(s.DeltaE), num(s.PlusMinus)})
	}
	for i := range a.Laid {
		l := &a.Laid[i]
		q := &l.Prediction
		one := laidJSON{Coats: coatsOf(l.Coats), Measured: triple(q.Measured), Surprise: q.Surprise(), Causes: warningsOf(l.Causes)}
		if q.PlusMinus > 0 {
			one.Predicted, one.PlusMinus, one.DeltaE = new(triple(q.Predicted)), new(num(q.PlusMinus)), new(num(q.DeltaE))
		}
		out.Laid = append(out.Laid, one)
	}
	p := a.Plan
	if p == nil {
		return out
	}
	out.Target, out.TargetPlusMinus, out.OneMore = new(triple(p.Target)), new(num(a.Target.PlusMinus)), new(stepOf(p.OneMore))
	out.Kind, out.Coats, out.StopAfter, out.Path = p.Kind, coatsOf(p.Coats), p.StopAfter, stepsOf(p.Path)
	out.Before, out.After, out.Reachable, out.Why = new(num(p.Before)), new(num(p.After)), p.Reachable, strings.Join(warningsOf(p.Why), " ")
	for _, c := range p.Choices {
		out.Choices = append(out.Choices, choiceJSON{
			c.Kind, coatsOf(c.Coats), warningsOf(c.Between), spreadOf(c.DeltaE), num(c.Within), num(c.Grain), c.StopAfter,
		})
	}
	for _, o := range p.Options {
		out.Options = append(out.Options, otherJSON{o.Coating, o.Count, o.Range, triple(o.Lab), num(o.DeltaE), words.Speaker{}.Say(o.Conflict)})
	}
	return out
}
