package report

import (
	"huewright/blend/plan"
	"huewright/internal/fault"
	"huewright/internal/words"
)

type meetJSON struct {
	Before   num              `json:"delta_e_before"` // of the two areas that differ most
	Chosen   int              `json:"chosen"`         // among choices
	Together bool             `json:"together"`       // the chosen brings all within tolerance
	Lightest string           `json:"cannot_be_lightened"`
	Choices  []meetChoiceJSON `json:"choices"`
}

type meetChoiceJSON struct {
	Kind   string         `json:"kind"`
	Worst  spreadJSON     `json:"delta_e"` // of the two areas that then differ most
	Pair   [2]string      `json:"pair"`
	Pairs  []meetPairJSON `json:"pairs"` // every two areas
	Common [3]num         `json:"common"`
	Grain  num            `json:"grain"`
	Areas  []meetAreaJSON `json:"areas"`
}

type meetPairJSON struct {
	Areas  [2]string  `json:"areas"`
	Before num        `json:"delta_e_before"`
	After  spreadJSON `json:"delta_e"`
}

type meetAreaJSON struct {
	Name      string     `json:"name"`
	Coats     []coatJSON `json:"coats"`
	StopAfter int        `json:"stop_after"`
	Grain     num        `json:"grain"`
	Path      []stepJSON `json:"path"`
	OneMore   stepJSON   `json:"one_more"`
}

func meetOf(m *plan.MeetPlan) *meetJSON {
	if m == nil {
		return nil
	}
	out := &meetJSON{Before: num(m.Before), Chosen: m.Chosen, Together: m.Together, Lightest: m.Lightest}
	for _, c := range m.Choices {
		choice := meetChoiceJSON{Kind: c.Kind, Worst: spreadOf(c.Worst), Pair: c.Pair, Common: triple(c.Common), Grain: num(c.Grain)}
		for _, two := range c.Pairs {
			choice.Pairs = append(choice.Pairs, meetPairJSON{two.Areas, num(two.Before), spreadOf(two.After)})
		}
		for _, a := range c.Areas {
			choice.Areas = append(
				choice.Areas, meetAreaJSON{a.Name, coatsOf(a.Coats), a.StopAfter, num(a.Grain), stepsOf(a.Path), stepOf(a.OneMore)},
			)
		}
		out.Choices = append(out.Choices, choice)
	}
	return out
}

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
}

func testsOf(tests []plan.TestAdvice) []testJSON {
	all := []testJSON{}
	for _, t := range tests {
		on := t.On
		if on == "" {
			on = words.Speaker{}.Say(fault.Say("plan.test-card"))
		}
		all = append(all, testJSON{t.Coating, t.Coats, on, num(t.Now), num(t.Then)})
	}
	return all
}
