package report

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/report/card"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// mixLetter is by what the rows of a card name a coating of the shelf; "" where the plan lays only one.
func mixLetter(r *workshop.PlanResult, coating string) string {
	all := mixed(r)
	if i := slices.Index(all, coating); i >= 0 && len(all) > 1 {
		return string(rune('A' + i))
	}
	return ""
}

// mixed are the coatings that a plan lays, that which is laid first before the others.
func mixed(r *workshop.PlanResult) (all []string) {
	most := 0
	for i := range r.Areas {
		most = max(most, len(r.Areas[i].Plan.Coats))
	}
	for n := range most {
		for i := range r.Areas {
			if coats := r.Areas[i].Plan.Coats; n < len(coats) && coats[n].Count > 0 && !slices.Contains(all, coats[n].Coating) {
				all = append(all, coats[n].Coating)
			}
		}
	}
	return all
}

// cardMixes are the mixes of a plan, with their ratios and volumes.
func (s Style) cardMixes(r *workshop.PlanResult) (all []card.Mix) {
	for _, name := range mixed(r) {
		m := card.Mix{Letter: mixLetter(r, name), Coating: name, Ratio: s.dilution(r.Piece.CoatingNamed(name))}
		for i := range r.Batches {
			if b := &r.Batches[i]; b.Coating == name {
				m.Amount = s.amount(r, b)
			}
		}
		all = append(all, m)
	}
	return all
}

// amount says how much to mix of a coating that is named beside it.
func (s Style) amount(r *workshop.PlanResult, b *schedule.Batch) string {
	unsized := ""
	if n := len(b.Unsized); n > 0 {
		unsized = s.say("answer.unsized", "coating", b.Coating, "areas", s.byNumber(r, b.UnsizedNames()), "n", n)
	}
	if b.Mix == 0 {
		return unsized
	}
	spare := sparePercent(r.Piece.Spare) / 100
	mix := s.say("card.amount", "mix", b.Mix, "spare", spare)
	if b.Thinner > 0.5 {
		mix = s.say("card.amount-thinned", "mix", b.Mix, "paint", b.Paint, "thinner", b.Thinner, "with", s.thinner(r, b.Coating), "spare", spare)
	}
	return sentences(mix, unsized)
}

// longName is from how many letters on a name stands on a card as its area's number wherever it is not in its own row. Our own choice.
const longName = 25

// byNumber are areas as a card names them: by their names where those are short.
func (s Style) byNumber(r *workshop.PlanResult, areas []string) (all []string) {
	for _, name := range areas {
		if i := areaPlace(r, name); i >= 0 && utf8.RuneCountInString(name) >= longName {
			name = s.say("card.area", "n", i+1)
		}
		all = append(all, name)
	}
	return all
}

func areaPlace(r *workshop.PlanResult, name string) int {
	return slices.IndexFunc(r.Areas, func(a workshop.AreaPlan) bool { return a.Area.Name == name })
}

// areasOf are the areas of a step of a card, by their numbers where there are several; nil where it says none.
func (s Style) areasOf(r *workshop.PlanResult, areas []string) []string {
	var numbers []string
	for _, name := range areas {
		if i := areaPlace(r, name); i >= 0 {
			numbers = append(numbers, strconv.Itoa(i+1))
		}
	}
	switch {
	case len(areas) == 0 || len(numbers) < len(areas):
		return areas
	case len(areas) == len(r.Areas) && len(areas) > 1:
		return []string{s.say("card.all-areas")}
	case len(areas) == 1:
		return s.byNumber(r, areas)
	}
	return []string{s.say("card.some-areas", "areas", numbers)}
}

// cardSteps are the steps of a timetable before the first coat of colour, and after the last.
func (s Style) cardSteps(r *workshop.PlanResult, t *workshop.Schedule) (before, after []card.Step) {
	zone := t.Bench.Start.Location()
	for i := range t.Steps {
		step := &t.Steps[i]
		if w := step.Work; !step.Clear && (w == schedule.LayCoat || w == schedule.Stop || w == schedule.Scuff) {
			continue // these stand in the rows
		}
		named := *step
		named.Areas = s.areasOf(r, step.Areas)
		line := card.Step{Time: step.At.In(zone).Format("Mon 2 Jan 15:04"), What: s.stepWords(&named), Notes: notEmpty(s.whyWords(step))}
		switch step.Work {
		case schedule.SealCoat:
			if areas := s.sealedLast(t, i); len(areas) > 0 {
				named.Areas = s.areasOf(r, areas)
				line.What = s.stepWords(&named)
				after = append(after, line)
			}
		case schedule.LayCoat, schedule.Scuff, schedule.Stop, schedule.Cure:
			after = append(after, line)
		default:
			before = append(before, line)
		}
	}
	return before, after
}

// sealedLast are the areas of a barrier that no more colour goes on.
func (s Style) sealedLast(t *workshop.Schedule, seal int) (areas []string) {
	for _, name := range t.Steps[seal].Areas {
		if !slices.ContainsFunc(t.Steps[seal+1:], func(later schedule.Step) bool { return colours(&later, name) }) {
			areas = append(areas, name)
		}
	}
	return areas
}

// colours reports whether a step is a coat of colour on an area.
func colours(t *schedule.Step, area string) bool {
	return t.Work == schedule.LayCoat && !t.Clear && slices.Contains(t.Areas, area)
}

// cardCoats are the coats to come on an area, over so many that lie there.
func (s Style) cardCoats(r *workshop.PlanResult, t *workshop.Schedule, a *workshop.AreaPlan, laid int) (all []card.Coat) {
	for _, c := range a.Plan.Coats {
		for range c.Count {
			n := len(all) + 1
			all = append(all, card.Coat{Number: laid + n, Letter: mixLetter(r, c.Coating), Coating: c.Coating, Lab: a.Plan.Path[n].Lab})
		}
	}
	zone := t.Bench.Start.Location()
	format := "Mon 15:04"
	if n := len(t.Steps); n > 0 && t.Steps[n-1].At.Sub(t.Steps[0].At) > 6*24*time.Hour {
		format = "2 Jan 15:04" // a day of the week would be two
	}
	n, seal, scuffed := 0, "", false
	for i := range t.Steps {
		step := &t.Steps[i]
		if !slices.Contains(step.Areas, a.Area.Name) || step.Clear || n == len(all) {
			continue
		}
		at := step.At.In(zone).Format(format)
		switch step.Work {
		case schedule.Scuff:
			scuffed = true
		case schedule.SealCoat:
			seal = s.say("card.first-seal", "coating", step.Coating, "at", at)
		case schedule.LayCoat:
			all[n].Planned, all[n].Scuffed, all[n].Seal = at, scuffed, seal
			if !step.Latest.IsZero() {
				all[n].Notes = append(all[n].Notes, s.say("card.not-after", "latest", step.Latest.In(zone).Format(format)))
			}
			if step.Assumed {
				all[n].Notes = append(all[n].Notes, s.say("card.assumed"))
			}
			n, seal, scuffed = n+1, "", false
		}
	}
	return all
}

// numbered has long names of areas in a text by their numbers: "area 2 will differ" for "the left door … will differ".
func (s Style) numbered(r *workshop.PlanResult, text string) string {
	var long []string
	for i := range r.Areas {
		if name := r.Areas[i].Area.Name; utf8.RuneCountInString(name) >= longName {
			long = append(long, name)
		}
	}
	slices.SortFunc(long, func(a, b string) int { return len(b) - len(a) }) // one name may begin another
	var pairs []string
	for _, name := range long {
		number := s.say("card.area", "n", areaPlace(r, name)+1)
		pairs = append(pairs, "The "+plainName(name), words.Capital(number), "the "+plainName(name), number, name, number)
	}
	return strings.NewReplacer(pairs...).Replace(text)
}

// otherPlan is another plan in a line: the first that comes to something else, or counts that are as good; "" where there is none.
func (s Style) otherPlan(r *workshop.PlanResult) string {
	first := &r.Choices[0]
	for i := 1; i < len(r.Choices); i++ {
		c := &r.Choices[i]
		if areas := s.otherAreas(r, c, first); !c.Untouched() && len(areas) > 0 {
			return s.say("card.other", "way", otherWay(c, first), "areas", areas, "seen", seen(c.Worst.Median))
		}
	}
	for i := range r.AsGood {
		if areas := s.otherAreas(r, &r.AsGood[i], first); len(areas) > 0 {
			return s.say("card.other", "way", "same", "areas", areas, "seen", "none")
		}
	}
	return ""
}

// otherAreas are the coats of a choice on the areas that get others in the first.
func (s Style) otherAreas(r *workshop.PlanResult, c, first *plan.Choice) (all []string) {
	one := plannedCoatings(r) == 1
	var coats []string
	areas := map[string][]string{} // by their coats
	for i, a := range c.Areas {
		says := s.countedOnly(a.Coats, one)
		if r.WithWood(&r.Areas[i]) || says == s.countedOnly(first.Areas[i].Coats, one) {
			continue
		}
		if areas[says] == nil {
			coats = append(coats, says)
		}
		areas[says] = append(areas[says], a.Name)
	}
	for _, says := range coats {
		all = append(all, s.say("card.other-area", "coats", says, "areas", s.areasOf(r, areas[says])))
	}
	return all
}
