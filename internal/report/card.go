package report

import (
	"context"
	"fmt"
	"slices"
	"strings"
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
	us := r.Piece.Units == "us"
	c := &card.Sheet{Title: r.Piece.Name, Date: date, Ref: ref, Clear: r.Finished}
	preview := workshop.NewPreview(photos, r, workshop.PreviewOptions{Width: 1100})
	for i := range r.Areas {
		c.Areas = append(c.Areas, cardArea(r, i, us))
	}
	for _, photo := range preview.Photos() {
		numbered, err := picture.Numbered(ctx, r, preview, photo)
		if err != nil {
			return nil, err
		}
		c.Photos = append(c.Photos, numbered)
	}
	for i := range r.Batches {
		if b := &r.Batches[i]; b.Mix > 0 {
			c.Mixes = append(c.Mixes, mixWords(b, r.Piece.Spare, us))
		} else {
			c.Mixes = append(c.Mixes, fmt.Sprintf("%s: how much is not known, as its areas have no size", b.Coating))
		}
	}
	c.Days = cardDays(s)
	if !s.Ready.IsZero() {
		c.Ready = "dry enough to touch with care: " + s.Ready.In(s.Bench.Start.Location()).Format("Monday, 2 January, 15:04")
	}
	var others []string
	for _, k := range s.Cautions {
		if k.Matters {
			c.Matters = append(c.Matters, card.Caution{Key: k.Key, Text: k.Do})
		} else {
			others = append(others, k.Key)
		}
	}
	c.Others = strings.Join(others, ", ")
	c.Warnings = words.Speaker{}.Warnings(slices.Concat(s.Fit, s.Warnings))
	c.Note = "colours for D65 and the 2° observer; printed swatches are a guide only"
	if r.Relative {
		c.Note = "no reference in a photo: colours hold only beside one another; printed swatches are a guide only"
	}
	return c, nil
}

// cardDays are the steps of a timetable, day by day.
func cardDays(s *workshop.Schedule) (days []card.Day) {
	zone := s.Bench.Start.Location()
	for i := range s.Steps {
		step := &s.Steps[i]
		day := step.At.In(zone).Format("Monday, 2 January")
		if n := len(days); n == 0 || days[n-1].Day != day {
			days = append(days, card.Day{Day: day})
		}
		line := card.Step{Time: step.At.In(zone).Format("15:04"), What: stepWords(step)}
		if step.Inspect {
			line.Notes = append(line.Notes, "stop and look first")
		}
		line.Notes = append(line.Notes, step.Do...)
		if !step.Latest.IsZero() {
			line.Notes = append(line.Notes, "not after "+step.Latest.In(zone).Format("Mon 15:04"))
		}
		if step.Assumed {
			line.Notes = append(line.Notes, "its label says how long to wait: a night is assumed")
		}
		d := &days[len(days)-1]
		d.Steps = append(d.Steps, line)
	}
	return days
}

func cardArea(r *workshop.PlanResult, i int, us bool) card.Area {
	a := &r.Areas[i]
	coats, path, stop, after := a.Counted(r)
	out := card.Area{
		Number: i + 1, Name: a.Area.Name, About: described(a.Area, us), Coats: "leave it as it is", Left: after,
		Swatches: []card.Swatch{{Name: "as it is", Lab: path[0].Lab}, {Name: "after the coats", Lab: path[len(path)-1].Lab}},
	}
	var lay []string
	n := 0
	for _, c := range coats {
		if c.Count == 0 {
			continue
		}
		n += c.Count
		words := plan.CoatWords(c.Count) + " of " + c.Coating
		if c.Range[0] != c.Range[1] {
			words += fmt.Sprintf(" (%d to %d)", c.Range[0], c.Range[1])
		}
		lay = append(lay, words)
	}
	if n > 0 {
		out.Coats, out.Stop = strings.Join(lay, ", then "), stopWords(stop, n)
	}
	if a.Plan != nil {
		out.Swatches = append(out.Swatches, card.Swatch{Name: "target", Lab: a.Plan.Target})
	} else if r.Meet != nil {
		out.Swatches = append(out.Swatches, card.Swatch{Name: "common", Lab: r.Meet.Choices[r.Meet.Chosen].Common})
	}
	return out
}

func mixWords(b *schedule.Batch, spare float64, us bool) string {
	of := ""
	if b.Thinner > 0.5 {
		of = fmt.Sprintf(", of %s paint and %s thinner", volume(b.Paint, us), volume(b.Thinner, us))
	}
	return fmt.Sprintf("%s: %s in one batch%s; %.0f %% of it is spare for touch-ups", b.Coating, volume(b.Mix, us), of, sparePercent(spare))
}
