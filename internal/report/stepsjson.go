package report

import "huewright/blend/plan"

type coatJSON struct {
	Coating string `json:"coating"`
	Count   int    `json:"count"`
	Range   [2]int `json:"range"` // 80 times in 100
}

type stepJSON struct {
	Coats     int    `json:"coats"`
	Coating   string `json:"coating"`
	Lab       [3]num `json:"lab"`
	PlusMinus num    `json:"plus_minus"`
	DeltaE    num    `json:"delta_e"`
	Range     [2]num `json:"delta_e_range"` // 80 times in 100
	Grain     num    `json:"grain"`         // share kept; null where not known
	Overshoot num    `json:"overshoot"`     // chance that this coat leads away again
}

type spreadJSON struct {
	Median num    `json:"median"`
	Range  [2]num `json:"range"` // 80 times in 100
}

func spreadOf(s plan.Spread) spreadJSON {
	return spreadJSON{num(s.Median), [2]num{num(s.Low), num(s.High)}}
}

func stepOf(s plan.Step) stepJSON {
	return stepJSON{
		s.Coats, s.Coating, triple(s.Lab), num(s.PlusMinus), num(s.DeltaE), [2]num{num(s.Low), num(s.High)}, num(s.Grain),
		num(s.Overshoot),
	}
}

func stepsOf(path []plan.Step) []stepJSON {
	steps := []stepJSON{}
	for _, s := range path {
		steps = append(steps, stepOf(s))
	}
	return steps
}

func coatsOf(coats []plan.CoatCount) []coatJSON {
	all := []coatJSON{}
	for _, c := range coats {
		all = append(all, coatJSON{c.Coating, c.Count, c.Range})
	}
	return all
}
