package report

import (
	"context"
	"slices"
	"strconv"
	"time"

	"huewright/blend/plan"
	"huewright/blend/schedule"
	"huewright/internal/report/card"
	"huewright/internal/report/picture"
	"huewright/internal/words"
	"huewright/internal/workshop"
)

// NewCard gathers a plan with its photos and its timetable. ref is where the log has it; date is when it is made. The error
// is that of the context.
func NewCard(
	ctx context.Context, photos *workshop.Photos, r *workshop.PlanResult, s *workshop.Schedule, ref string, date time.Time,
) (*card.Sheet, error) {
	c := CardWords(r, s, ref, date)
	preview := workshop.NewPreview(photos, r, workshop.PreviewOptions{Width: 1100})
	for _, photo := range preview.Photos() {
		numbered, err := picture.Numbered(ctx, r, preview, photo)
		if err != nil {
			return nil, err
		}
		c.Photos = append(c.Photos, numbered)
	}
	return c, nil
}

// CardWords is NewCard without its photos, which take longer than all else.
func CardWords(r *workshop.PlanResult, s *workshop.Schedule, ref string, date time.Time) *card.Sheet {
	says := Style{Speaker: words.Speaker{Voice: words.Page, Plain: true}}.Of(&r.Piece) // paper knows no flags either
	c := &card.Sheet{
		Title: r.Piece.Name, Date: date, Ref: ref, US: says.US, First: says.say(schedule.LabelFirst), Note: says.cardNote(r),
		Mixes: says.cardMixes(r), Other: says.otherPlan(r), Days: says.cardDays(s), Warnings: says.Warnings(s.Warnings),
	}
	for i := range r.Areas {
		c.Areas = append(c.Areas, says.cardArea(r, s, i))
	}
	c.Before, c.After = says.cardSteps(r, s)
	if !s.Ready.IsZero() {
		c.Ready = says.say("card.ready", "at", s.Ready.In(s.Bench.Start.Location()).Format("Monday, 2 January, 15:04"))
	}
	for i := range s.Cautions {
		if k := &s.Cautions[i]; k.Matters {
			c.Matters = append(c.Matters, card.Caution{Key: k.Key, Text: says.caution(k)})
		}
	}
	return c
}

// cardNote says what the colours of a card hold for.
func (s Style) cardNote(r *workshop.PlanResult) string {
	colours := s.say("card.colours")
	if r.Relative {
		colours = s.say("card.colours-relative")
	}
	finished := ""
	if r.Finished {
		finished = s.say("answer.finished")
	}
	return sentences(s.asAsked(r), colours, finished, s.numbered(r, s.LampWords(r)), s.say("card.printed"))
}

func notEmpty(text string) []string {
	if text == "" {
		return nil
	}
	return []string{text}
}

// cardDays are the steps of a timetable, day by day.
func (s Style) cardDays(r *workshop.Schedule) (days []card.Day) {
	zone := r.Bench.Start.Location()
	for i := range r.Steps {
		step := &r.Steps[i]
		day := step.At.In(zone).Format("Monday, 2 January")
		if n := len(days); n == 0 || days[n-1].Day != day {
			days = append(days, card.Day{Day: day})
		}
		line := card.Step{Time: step.At.In(zone).Format("15:04"), What: s.stepWords(step), Notes: notEmpty(s.whyWords(step))}
		if !step.Latest.IsZero() {
			line.Notes = append(line.Notes, s.say("card.not-after", "latest", step.Latest.In(zone).Format("Mon 15:04")))
		}
		if step.Assumed {
			line.Notes = append(line.Notes, s.say("card.assumed"))
		}
		d := &days[len(days)-1]
		d.Steps = append(d.Steps, line)
	}
	return days
}

func (s Style) cardArea(r *workshop.PlanResult, t *workshop.Schedule, i int) card.Area {
	a := &r.Areas[i]
	coats, path := a.Plan.Coats, a.Plan.Path
	out := card.Area{
		Number: i + 1, Name: a.Area.Name, About: s.described(&a.Area), Count: "0", Coats: s.say("card.leave"),
		Swatches: []card.Swatch{{Name: s.say("card.now"), Lab: path[0].Lab}, {Name: s.say("card.after"), Lab: path[len(path)-1].Lab}},
	}
	if out.Laid = a.LaidCoats(); out.Laid > 0 {
		out.About = joined(", ", out.About, s.say("card.laid", "n", out.Laid))
	}
	if n := coatsIn(coats); n > 0 {
		coats = slices.DeleteFunc(slices.Clone(coats), func(c plan.CoatCount) bool { return c.Count == 0 })
		out.Coats, out.Stop, out.StopAt = s.counted(coats, false), s.stopWords(out.Laid+a.Plan.StopAfter, out.Laid+n), a.Plan.StopAfter
		out.Count = ""
		for _, c := range coats {
			out.Count = joined("+", out.Count, strconv.Itoa(c.Count))
		}
		out.Steps = s.cardCoats(r, t, a, out.Laid)
	}
	if a.Plan.ToTarget {
		out.Left = s.leftAfter(r, s.say("answer.it"), a.Plan)
		out.Swatches = append(out.Swatches, card.Swatch{Name: s.say("card.target"), Lab: a.Plan.Aim})
	} else if t := r.TouchUpOf(a.Area.Name); t != nil {
		out.Left = s.TouchUpWords(t)
		out.Swatches = append(out.Swatches, card.Swatch{Name: s.say("touch.its-wood"), Lab: a.Plan.Aim})
	} else {
		if pair := worstPair(&r.Choices[0], a.Area.Name); pair != nil {
			out.Left = s.PairWords(r, pair)
		}
		out.Swatches = append(out.Swatches, card.Swatch{Name: s.say("card.together"), Lab: a.Plan.Aim})
	}
	out.Short = s.numbered(r, out.Left)
	return out
}
