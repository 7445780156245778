package report

import (
	"io"
	"strings"

	"huewright/blend/plan"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

type planJSON struct {
	Version    int             `json:"version"`
	Piece      string          `json:"piece"`
	Photos     []photoJSON     `json:"photos"`
	Coatings   []coatingJSON   `json:"coatings"`
	Between    []pairJSON      `json:"between"`  // each pair of photos
	Finished   bool            `json:"finished"` // colours of plans are as seen under the clear coat to come
	Areas      []areaPlanJSON  `json:"areas"`
	Plans      []choiceJSON    `json:"plans"`     // of the whole piece: none beats another in nearness, grain and coats; the suggested first
	AsGood     []choiceJSON    `json:"as_good"`   // other counts that are as good as the suggested ones
	WhatIf     *choiceJSON     `json:"what_if"`   // counts that somebody named; null where nobody did
	Apart      []apartJSON     `json:"apart"`     // every two areas that are to look alike, under the suggested plan
	TouchUps   []touchUpJSON   `json:"touch_ups"` // of spots, before the coats
	Mix        *mixesJSON      `json:"mix"`
	Ideal      *idealJSON      `json:"ideal"`      // the coating that is missing; null where the suggested plan leaves little
	Candidates *candidatesJSON `json:"candidates"` // colours that might be bought, ranked; null where the piece names none
	Batches    []batchJSON     `json:"batches"`    // how much to mix for the suggested plan
	TestsNext  []testJSON      `json:"tests_next"` // the best first
	Earlier    []earlierJSON   `json:"earlier"`    // what earlier pieces told of coatings
	Bias       biasJSON        `json:"bias"`       // of the operator, as earlier pieces show it
	Drift      []string        `json:"drift"`      // how woods of the piece are known to change in a room
	Warnings   []string        `json:"warnings"`
}

type earlierJSON struct {
	Coating   string   `json:"coating"`
	Pieces    []string `json:"pieces"`
	Results   int      `json:"results"`
	Alike     int      `json:"on_like_wood"` // of results, like the next
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
	Readings       []areaReadingJSON `json:"readings"` // what start is the average of; empty for one photo
	Laid           []laidJSON        `json:"laid"`     // what the coats it has had were to do, and did

	Target          *[3]num     `json:"target"` // as it will be seen; null, like reachable, where the area has none
	TargetPlusMinus *num        `json:"target_plus_minus"`
	Aim             [3]num      `json:"aim"`     // the target, or the colour that the areas come to
	Coats           []coatJSON  `json:"coats"`   // of the suggested plan
	Between         []string    `json:"between"` // what to do between one of coats and the next
	StopAfter       int         `json:"stop_after"`
	Path            []stepJSON  `json:"path"`
	OneMore         stepJSON    `json:"one_more"`       // what one coat too many would do
	Before          num         `json:"delta_e_before"` // to the aim
	BeforeRange     [2]num      `json:"delta_e_before_range"`
	After           num         `json:"delta_e_after"`
	AfterRange      [2]num      `json:"delta_e_after_range"`
	Lamp            *num        `json:"delta_e_lamp"` // after, by a warm lamp: a guess; null, like its range, without a target
	LampRange       *[2]num     `json:"delta_e_lamp_range"`
	Within          num         `json:"within"`    // chance of ending within tolerance
	Grain           num         `json:"grain"`     // share kept, 0–1; null where there is none
	Reachable       *bool       `json:"reachable"` // the plan that comes nearest ends within tolerance here
	Why             string      `json:"why"`       // where it is not reachable; "" where the layers leave the area out
	Options         []otherJSON `json:"options"`   // every coating by itself, nearest first
}

type laidJSON struct {
	Coats     []coatJSON `json:"coats"`     // that it then had
	Predicted *[3]num    `json:"predicted"` // null, like plus_minus and delta_e, where nothing was predicted
	PlusMinus *num       `json:"plus_minus"`
	Measured  [3]num     `json:"measured"`
	DeltaE    *num       `json:"delta_e"`
	Surprise  bool       `json:"surprise"`
	Causes    []string   `json:"causes"`
}

// choiceJSON is one way to colour the piece.
type choiceJSON struct {
	Areas      []choiceAreaJSON `json:"areas"`
	Worst      num              `json:"worst"` // ΔE00: the largest difference then, of two areas or of one from its target
	WorstRange [2]num           `json:"worst_range"`
	WorstOf    []string         `json:"worst_of"` // those two areas, or the one
	Apart      []choiceApart    `json:"apart"`    // every two areas that are to look alike
	Grain      num              `json:"grain"`    // the least share that an area keeps, 0–1; null where none has any
	Coats      int              `json:"coats"`    // in all
	Value      num              `json:"value"`    // what is minimised, ΔE00: nearness and the price of the coats
	Chosen     bool             `json:"chosen"`   // the suggested one
}

// choiceApart is how far two areas are apart under a choice.
type choiceApart struct {
	A          string `json:"a"`
	B          string `json:"b"`
	After      num    `json:"after"` // ΔE00
	AfterRange [2]num `json:"after_range"`
	Lamp       num    `json:"lamp"` // after, by a warm lamp: a guess
	LampRange  [2]num `json:"lamp_range"`
}

type choiceAreaJSON struct {
	Name       string     `json:"name"`
	Coats      []coatJSON `json:"coats"`
	Grain      num        `json:"grain"`
	After      num        `json:"delta_e_after"` // to the target or, without one, to the colour that the areas come to
	AfterRange [2]num     `json:"delta_e_after_range"`
}

// apartJSON is how far two areas are apart.
type apartJSON struct {
	A           string `json:"a"`
	B           string `json:"b"`
	Before      num    `json:"before"` // ΔE00, as they are
	BeforeRange [2]num `json:"before_range"`
	After       num    `json:"after"`
	AfterRange  [2]num `json:"after_range"`
	Lamp        num    `json:"lamp"` // after, by a warm lamp: a guess
	LampRange   [2]num `json:"lamp_range"`
	Words       string `json:"words"` // the same as a sentence
}

type otherJSON struct {
	Coating string     `json:"coating"`
	Count   int        `json:"count"`
	Range   [2]int     `json:"range"`
	Lab     [3]num     `json:"lab"`
	DeltaE  spreadJSON `json:"delta_e"`
	MayNot  string     `json:"may_not,omitempty"` // why it may not be laid there
}

// PlanJSON writes a plan as JSON.
func PlanJSON(w io.Writer, r *workshop.PlanResult) error {
	out := planJSON{Version: Version, Piece: r.Piece.Name, Photos: []photoJSON{}, Drift: words.Speaker{}.All(r.Drift()),
		Warnings: warningsOf(r.Warnings)}
	out.Earlier, out.Bias = earlierOf(r.Earlier), biasJSON{r.Pieces, num(r.Bias.Film), num(max(1, r.Bias.Wider))}
	for _, p := range r.Photos {
		out.Photos = append(out.Photos, photoJSON{p.Name, calibrationOf(p.Calibration)})
	}
	out.Between = pairsOf(r.Between)
	for i, k := range r.Coatings {
		c := coatingJSON{
			Name: k.Coating.Name, Kind: string(k.Coating.Kind),
			Dilution: Style{}.dilution(&r.Piece.Coatings[i]), Warnings: warningsOf(k.Report.Warnings),
		}
		if k.Limit.IsFinite() {
			c.Limit = new(triple(k.Limit))
		}
		out.Coatings = append(out.Coatings, c)
	}
	for _, a := range r.Areas {
		out.Areas = append(out.Areas, areaPlanOf(a))
	}
	out.Finished, out.Mix, out.TestsNext = r.Finished, mixesOf(r), testsOf(r.Tests)
	out.Plans, out.AsGood, out.Apart = choicesOf(r.Choices), choicesOf(r.AsGood), apartOf(r)
	if r.WhatIf != nil {
		out.WhatIf = &choicesOf([]plan.Choice{r.WhatIf.Choice})[0]
		out.WhatIf.Chosen = false
	}
	out.Batches, out.TouchUps, out.Ideal = batchesOf(r.Batches), touchUpsOf(r), idealOf(r.Ideal)
	out.Candidates = candidatesOf(r.Candidates)
	return writeJSON(w, out)
}

func areaPlanOf(a workshop.AreaPlan) areaPlanJSON {
	out := areaPlanJSON{
		Name: a.Area.Name, Start: triple(a.Start.Lab), StartPlusMinus: num(a.Start.PlusMinus), Readings: []areaReadingJSON{}, Laid: []laidJSON{},
		Options: []otherJSON{},
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
	out.Aim, out.Coats, out.Between, out.StopAfter = triple(p.Aim), coatsOf(p.Coats), warningsOf(p.Between), p.StopAfter
	out.Path, out.OneMore = stepsOf(p.Path), stepOf(p.OneMore)
	out.Before, out.BeforeRange = num(p.Before.Median), [2]num{num(p.Before.Low), num(p.Before.High)}
	out.After, out.AfterRange = num(p.After.Median), [2]num{num(p.After.Low), num(p.After.High)}
	out.Within, out.Grain = num(p.Within), num(p.Grain)
	if p.ToTarget {
		out.Lamp, out.LampRange = new(num(p.Lamp.DeltaE.Median)), new(rangeOf(p.Lamp.DeltaE))
		out.Target, out.TargetPlusMinus = new(triple(p.Aim)), new(num(a.Target.PlusMinus))
		out.Reachable, out.Why = new(p.Reachable), strings.Join(warningsOf(p.Why), " ")
	}
	for _, o := range a.Single {
		out.Options = append(out.Options, otherJSON{o.Coating, o.Count, o.Range, triple(o.Lab), spreadOf(o.DeltaE),
			words.Speaker{}.Say(o.Conflict)})
	}
	return out
}

func choicesOf(choices []plan.Choice) []choiceJSON {
	all := []choiceJSON{}
	for i := range choices {
		c := &choices[i]
		one := choiceJSON{
			Worst: num(c.Worst.Median), WorstRange: [2]num{num(c.Worst.Low), num(c.Worst.High)}, WorstOf: c.Of[:1], Grain: num(c.Grain),
			Coats: c.Coats, Value: num(c.Value), Chosen: i == 0, Apart: []choiceApart{},
		}
		if c.Of[1] != "" {
			one.WorstOf = c.Of[:]
		}
		for _, a := range c.Areas {
			one.Areas = append(one.Areas, choiceAreaJSON{
				a.Name, coatsOf(a.Coats), num(a.Grain), num(a.After.Median), [2]num{num(a.After.Low), num(a.After.High)},
			})
		}
		for _, p := range c.Pairs {
			one.Apart = append(one.Apart, choiceApart{p.Areas[0], p.Areas[1], num(p.After.Median), rangeOf(p.After),
				num(p.Lamp.DeltaE.Median), rangeOf(p.Lamp.DeltaE)})
		}
		all = append(all, one)
	}
	return all
}

func apartOf(r *workshop.PlanResult) []apartJSON {
	all := []apartJSON{}
	for i := range r.Choices[0].Pairs {
		p := &r.Choices[0].Pairs[i]
		all = append(all, apartJSON{
			p.Areas[0], p.Areas[1], num(p.Before.Median), rangeOf(p.Before), num(p.After.Median), rangeOf(p.After),
			num(p.Lamp.DeltaE.Median), rangeOf(p.Lamp.DeltaE), Style{}.PairWords(r, p),
		})
	}
	return all
}

// rangeOf is what 80 of 100 samples say of a figure.
func rangeOf(s plan.Spread) [2]num { return [2]num{num(s.Low), num(s.High)} }
