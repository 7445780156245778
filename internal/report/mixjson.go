package report

import (
	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/words"
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
}

func mixesOf(m *plan.MixAnswer) *mixesJSON {
	if m == nil {
		return nil
	}
	return &mixesJSON{mixOf(m.OneMix), mixOf(m.OneCount), m.MixedMore}
}

func mixOf(m *plan.MixPlan) *mixJSON {
	if m == nil {
		return nil
	}
	out := &mixJSON{DeltaE: spreadOf(m.DeltaE), Grain: num(m.Grain)}
	for _, p := range m.Parts {
		out.Parts = append(out.Parts, mixPartJSON{p.Coating, p.Parts})
	}
	for _, a := range m.Areas {
		out.Areas = append(out.Areas, mixAreaJSON{a.Name, a.Coats, a.Water, triple(a.Lab), num(a.Grain)})
	}
	return out
}

type testJSON struct {
	Coating string `json:"coating"`
	Coats   int    `json:"coats"`
	On      string `json:"on"`
	Now     num    `json:"range_now"` // in coats
	Then    num    `json:"range_then"`
	Strip   num    `json:"range_after_strip"` // of 1, 2 and 3 coats instead
	Boards  num    `json:"range_after_two_boards"`
}

func testsOf(tests []plan.TestAdvice) []testJSON {
	all := []testJSON{}
	for _, t := range tests {
		on := t.On
		if on == "" {
			on = words.Speaker{}.Say(fault.Say("plan.test-card"))
		}
		all = append(all, testJSON{t.Coating, t.Coats, on, num(t.Now), num(t.Then), num(t.Strip), num(t.Boards)})
	}
	return all
}
