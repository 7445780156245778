package report

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/report/clientpage"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

const (
	clientWidth = 1000 // pixels of a picture
	mostSeen    = 5    // differences that a client is told of: more are not read
)

// NewClientPage gathers a plan for the owner of the piece; s is its schedule. The error is that of the context.
func NewClientPage(
	ctx context.Context, photos *workshop.Photos, r *workshop.PlanResult, s *workshop.Schedule, date time.Time,
) (*clientpage.Page, error) {
	says := Style{Speaker: words.Speaker{Voice: words.Page, Plain: true}}.Of(&r.Piece)
	p := &clientpage.Page{Title: r.Piece.Name, Date: date, Colours: [2]string{says.say("client.now"), says.say("client.then")},
		About: says.say("client.about", "date", date.Format("2 January 2006"))}
	preview := workshop.NewPreview(photos, r, workshop.PreviewOptions{Width: clientWidth, Clear: true})
	for i, name := range preview.Photos() {
		photo, err := says.clientPhoto(ctx, preview, name, i == 0)
		if err != nil {
			return nil, err
		}
		p.Photos = append(p.Photos, photo)
	}
	for i := range r.Areas {
		p.Parts = append(p.Parts, says.clientPart(r, &r.Areas[i]))
	}
	p.Over = says.clientClear(r)
	add := func(heading fault.Code, lines ...clientpage.Line) {
		if lines = slices.DeleteFunc(lines, func(l clientpage.Line) bool { return l.Text == "" }); len(lines) > 0 {
			p.Sections = append(p.Sections, clientpage.Section{Heading: says.say(heading), Lines: lines})
		}
	}
	add("client.see", append(says.clientSees(r), inLines(sentences(says.clientGrain(r)...), says.clientLamp(r))...)...)
	add("client.years", inLines(append(says.clientYears(r), says.say("client.light"))...)...)
	add("client.materials", inLines(says.clientMaterials(r, s))...)
	add("client.time", inLines(sentences(says.clientTime(r, s)...))...)
	marked, relative := "", ""
	if slices.ContainsFunc(r.Areas, func(a workshop.AreaPlan) bool { return a.Area.Typed() == nil && len(a.Area.Shown) == 0 }) {
		marked = says.say("client.only-marked")
	}
	if r.Relative {
		relative = says.say("client.relative")
	}
	p.Small = sentences(says.say("client.small"), marked, relative)
	return p, nil
}

func inLines(texts ...string) (lines []clientpage.Line) {
	for _, text := range texts {
		lines = append(lines, clientpage.Line{Text: text})
	}
	return lines
}

// clientPhoto is a photo now and done, by lamp too where that is asked for.
func (s Style) clientPhoto(ctx context.Context, preview *workshop.Preview, name string, byLamp bool) (p clientpage.Photo, err error) {
	p.Now.Text, p.Day.Text, p.Lamp.Text = s.say("client.now"), s.say("client.day"), s.say("client.lamp")
	if p.Now.Image, err = preview.Before(ctx, name); err != nil {
		return p, err
	}
	if p.Day.Image, _, err = preview.After(ctx, name); err != nil {
		return p, err
	}
	if byLamp {
		p.Lamp.Image, _, err = preview.AfterByLamp(ctx, name)
	}
	return p, err
}

// clientPart is what is done to an area, and its colour now and then.
func (s Style) clientPart(r *workshop.PlanResult, a *workshop.AreaPlan) clientpage.Part {
	path := a.Plan.Path
	p := clientpage.Part{Name: words.Capital(a.Area.Name), Now: path[0].Lab, After: path[len(path)-1].Lab, Do: s.say("client.leave")}
	var coats []string
	for _, c := range a.Plan.Coats {
		if c.Count > 0 {
			isRange := "no"
			if c.Range[0] < c.Range[1] {
				isRange = "yes"
			}
			coats = append(coats, s.say("client.coats-of", "n", c.Count, "coating", c.Coating, "range", isRange,
				"low", c.Range[0], "high", c.Range[1]))
		}
	}
	if len(coats) > 0 {
		p.Do = s.say("client.coats", "coats", coats)
	}
	if t := r.TouchUpOf(a.Area.Name); t != nil && len(t.Mix) > 0 {
		p.Do = sentences(s.say("client.touch-up"), p.Do)
	}
	return p
}

// A clientDifference is one that a client may see.
type clientDifference struct {
	of    [2]string
	words string
	by    float64 // ΔE00
}

// clientSees says which differences will be seen, and from where, the largest first.
func (s Style) clientSees(r *workshop.PlanResult) (all []clientpage.Line) {
	of := s.clientDifferences(r)
	told, passes, class := map[[2]string]bool{}, false, ""
	for _, d := range of {
		switch {
		case plan.Visibility(d.by) <= 1:
			passes = true
		case !told[d.of] && len(told) < mostSeen:
			told[d.of] = true
			if from := seen(d.by); from != class {
				class = from
				all = append(all, clientpage.Line{Text: s.say("client.seen-from", "seen", class)})
			}
			last := &all[len(all)-1]
			last.Items = append(last.Items, d.words)
		}
	}
	switch {
	case len(of) == 0:
		return nil
	case len(all) == 0:
		return inLines(s.say("client.all-pass", "seen", seen(of[0].by)))
	case passes:
		all = append(all, inLines(s.say("client.rest-passes"))...)
	}
	return all
}

// clientDifferences are those of each area from what it is to look like, and of each from the area that it then differs from most, the
// largest first.
func (s Style) clientDifferences(r *workshop.PlanResult) (of []clientDifference) {
	for i := range r.Areas {
		a := r.Areas[i].Plan
		if a.ToTarget {
			says := s.clientPair(a.Name, s.say("client.the-aim"), a.Path[len(a.Path)-1].Lab, a.Aim)
			of = append(of, clientDifference{[2]string{a.Name, ""}, says, a.After.Median})
		} else if t := r.TouchUpOf(a.Name); t != nil {
			of = append(of, clientDifference{[2]string{t.Area, t.PartOf}, s.clientPair(t.Area, s.the(t.PartOf), t.End, t.WoodEnd), t.AtEnd.Median})
		}
		if worst := worstPair(&r.Choices[0], a.Name); worst != nil {
			one, other := r.Named(worst.Areas[0]).Plan, r.Named(worst.Areas[1]).Plan
			x, y := one.Path[len(one.Path)-1].Lab, other.Path[len(other.Path)-1].Lab
			if x.L < y.L { // the lighter is the one that is noticed
				one, other, x, y = other, one, y, x
			}
			of = append(of, clientDifference{worst.Areas, s.clientPair(one.Name, s.the(other.Name), x, y), worst.After.Median})
		}
	}
	slices.SortStableFunc(of, func(x, y clientDifference) int { return cmp.Compare(y.by, x.by) })
	return of
}

// clientPair says how a first thing of colour x will differ from another, of colour y.
func (s Style) clientPair(first, than string, x, y colour.Lab) string {
	if how := differs(y, x); how != "" {
		return s.say("client.pair", "first", plainName(first), "how", how, "than", than)
	}
	return s.say("client.pair-somehow", "first", plainName(first), "than", than)
}

// clientGrain says what becomes of the grain of areas that get coats, those of one kind together.
func (s Style) clientGrain(r *workshop.PlanResult) (all []string) {
	var classes []string
	areas := map[string][]string{}
	for i := range r.Areas {
		a := r.Areas[i].Plan
		if class := grainClass(a.Grain); class != "" && coatsIn(a.Coats) > 0 {
			if areas[class] == nil {
				classes = append(classes, class)
			}
			areas[class] = append(areas[class], s.the(a.Name))
		}
	}
	for _, class := range classes {
		all = append(all, s.say("client.grain", "areas", areas[class], "grain", class))
	}
	return all
}

// clientLamp says how it looks by a warm lamp.
func (s Style) clientLamp(r *workshop.PlanResult) string {
	p := s.worstByLamp(r)
	if p == nil {
		return ""
	}
	class, how := p.class()
	code := map[string]fault.Code{
		"none": "client.lamp-none", "less": "client.lamp-less", "same": "client.lamp-same", "more": "client.lamp-more",
	}[class]
	return sentences(s.say(code, "who", p.who, "than", p.than, "how", how), s.say("client.lamp-guess"))
}

// clientYears says how the colours of the woods go with the years, as far as that is known.
func (s Style) clientYears(r *workshop.PlanResult) (all []string) {
	codes := map[fault.Code]fault.Code{
		"wood.beech": "client.beech", "wood.steamed-beech": "client.steamed-beech", "wood.cherry": "client.cherry",
		"wood.walnut": "client.walnut",
	}
	for _, n := range r.Drift() {
		if code, known := codes[n.Code]; known {
			all = append(all, s.Say(fault.Note{Code: code, Values: n.Values}))
		}
	}
	if unknown := r.WoodsOfUnknownDrift(); len(unknown) > 0 {
		all = append(all, s.say("client.unknown-wood", "woods", unknown))
	}
	return all
}

// clientMaterials names all that goes onto the piece, each once.
func (s Style) clientMaterials(r *workshop.PlanResult, t *workshop.Schedule) string {
	var all []string
	add := func(says string) {
		if !slices.Contains(all, says) {
			all = append(all, says)
		}
	}
	for _, used := range t.Used {
		k := r.Piece.CoatingNamed(used.Name)
		switch {
		case used.Kind == schedule.Clear:
		case k == nil:
			add(s.say("client.sealer", "coating", used.Name))
		case k.Dilution == nil || k.Dilution.Water == 0:
			add(used.Name)
		case k.Family == "":
			add(s.say("client.thinned-somehow", "coating", used.Name))
		default:
			add(s.say("client.thinned", "coating", used.Name, "with", s.say("answer.thinner", "family", k.Family)))
		}
	}
	for _, used := range t.Used {
		if used.Kind == schedule.Clear {
			add(used.Name)
		}
	}
	if len(all) == 0 {
		return ""
	}
	return words.Capital(s.say("client.material", "materials", all))
}

// clientClear says what clear coats come over all.
func (s Style) clientClear(r *workshop.PlanResult) string {
	if n, name := r.ClearCoats(); n > 0 {
		return s.say("client.clear", "n", n, "coating", name)
	}
	return ""
}

// clientTime says how long it takes, and when it may be used.
func (s Style) clientTime(r *workshop.PlanResult, t *workshop.Schedule) (all []string) {
	if h := r.Piece.Hours; h > 0 && h == math.Trunc(h) {
		all = append(all, s.say("client.hours", "hours", int(h)))
	} else if h > 0 {
		all = append(all, s.say("client.half-hours", "hours", h))
	}
	if room := r.Piece.Room; room != nil && room.Start != "" {
		all = append(all, s.say("client.from", "date", t.Bench.Start.Format("Monday, 2 January 2006")))
	}
	if !t.Ready.IsZero() {
		all = append(all, s.say("client.days", "days", t.Days))
	}
	for i := range t.Steps {
		if step := &t.Steps[i]; step.Work == schedule.Cure {
			all = append(all, s.Say(fault.Note{Code: "client.care", Values: step.Why.Values}))
		}
	}
	if slices.ContainsFunc(r.Areas, func(a workshop.AreaPlan) bool { return coatsIn(a.Plan.Coats) > 1 }) {
		all = append(all, s.say("client.count-after-look"))
	}
	return all
}
