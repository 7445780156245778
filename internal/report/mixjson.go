package report

import (
	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

type mixesJSON struct {
	OneMix     *mixJSON `json:"one_mix"`   // with a count for each area
	OneCount   *mixJSON `json:"one_count"` // with a dilution for each area
	FirstGuess bool     `json:"first_guess"`
}

type mixJSON struct {
	Parts  []mixPartJSON `json:"parts"`
	Areas  []mixAreaJSON `json:"areas"`
	DeltaE spreadJSON    `json:"delta_e"`
	Grain  num           `json:"grain"`
}

type mixPartJSON struct {
	Coating string `json:"coating"`
	Parts   int    `json:"parts"`
}

type mixAreaJSON struct {
	Name  string `json:"name"`
	Coats int    `json:"coats"`
	Water int    `json:"water"` // parts, to all parts of paint
	Lab   [3]num `json:"lab"`
	Grain num    `json:"grain"`
	MixML num    `json:"mix_ml"`
}

func mixesOf(r *workshop.PlanResult) *mixesJSON {
	if r.Mix == nil {
		return nil
	}
	return &mixesJSON{mixOf(r, r.Mix.OneMix), mixOf(r, r.Mix.OneCount), r.Mix.FirstGuess()}
}

func mixOf(r *workshop.PlanResult, m *plan.MixPlan) *mixJSON {
	if m == nil {
		return nil
	}
	out := &mixJSON{DeltaE: spreadOf(m.DeltaE), Grain: num(m.Grain)}
	for _, p := range m.Parts {
		out.Parts = append(out.Parts, mixPartJSON{p.Coating, p.Parts})
	}
	takes := map[string]float64{}
	for _, b := range r.MixBatches(m) {
		for i := range b.Amounts {
			takes[b.Amounts[i].Area] = b.Of(&b.Amounts[i])
		}
	}
	for _, a := range m.Areas {
		out.Areas = append(out.Areas, mixAreaJSON{a.Name, a.Coats, a.Water, triple(a.Lab), num(a.Grain), num(takes[a.Name])})
	}
	return out
}

type testJSON struct {
	Way     string `json:"way"`
	Coating string `json:"coating"`
	Coats   int    `json:"coats"`
	On      string `json:"on"`
	Now     num    `json:"worst_now"` // ΔE00
	Then    num    `json:"worst_then"`
	Gain    num    `json:"gain"`
}

func testsOf(tests []plan.TestAdvice) []testJSON {
	all := []testJSON{}
	for _, t := range tests {
		on := t.On
		if on == "" && t.Coats > 0 {
			on = words.Speaker{}.Say(fault.Say("plan.test-card"))
		}
		all = append(all, testJSON{string(t.Way), t.Coating, t.Coats, on, num(t.Now), num(t.Then), num(t.Gain)})
	}
	return all
}
