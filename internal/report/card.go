package report

import (
	"context"
	"fmt"
	"image"
	"math"
	"strings"
	"time"

	"huewright/blend/schedule"
	"huewright/colour"
	"huewright/internal/workshop"
)

// A Card is what hangs over the bench: one sheet with all that is to be done.
type Card struct {
	Title    string
	Date     time.Time
	Ref      string        // where the log has it; "" for none
	Photos   []image.Image // areas numbered, of the piece's photos; the first is shown largest
	Areas    []CardArea
	Mixes    []string // what to mix
	Days     []CardDay
	Ready    string
	Matters  []CardCaution // here
	Others   string        // cautions that do not seem to matter here, by name
	Warnings []string
	Note     string // what colours hold for
	Clear    bool   // colours are under the clear coat to come
	Nonce    string // that the page's style carries, where it is served; "" for none
}

// A CardArea is one area of a card.
type CardArea struct {
	Number   int
	Name     string
	About    string // wood, surface, size
	Coats    string // what to lay, in words
	Stop     string // after which coat to stop and look
	Left     string // what is left to the target then
	Swatches []CardSwatch
}

// A CardSwatch is a colour with what it is and its figures, so that nothing is lost in black and
// white.
type CardSwatch struct {
	Name string
	Lab  colour.Lab
}

// Figures are the swatch's colour in figures.
func (s CardSwatch) Figures() string {
	return fmt.Sprintf("L* %.0f  a* %.0f  b* %.0f", s.Lab.L, round0(s.Lab.A), round0(s.Lab.B))
}

// Hex is the swatch's colour as a screen and a printer are told it.
func (s CardSwatch) Hex() string {
	return s.Lab.LinearRGB().Encode().Hex()
}

func round0(v float64) float64 { return math.Round(v) + 0 } // −0 becomes 0

// A CardDay is the steps of one day.
type CardDay struct {
	Day   string
	Steps []CardStep
}

// A CardStep is one line to tick.
type CardStep struct {
	Time, What string
	Notes      []string
}

// A CardCaution is a caution, short.
type CardCaution struct{ Key, Text string }

// NewCard gathers a plan with its photos and its timetable. ref is where the log has it; date is when it is made. The error
// is that of the context.
func NewCard(
	ctx context.Context, photos *workshop.Photos, r *workshop.PlanResult, s *workshop.Schedule, ref string, date time.Time,
) (*Card, error) {
	us := r.Piece.Units == "us"
	c := &Card{Title: r.Piece.Name, Date: date, Ref: ref, Clear: r.Finished}
	preview := workshop.NewPreview(photos, r, workshop.PreviewOptions{Width: 1100})
	for i := range r.Areas {
		c.Areas = append(c.Areas, cardArea(r, i, us))
	}
	for _, photo := range preview.Photos() {
		picture, err := numbered(ctx, r, preview, photo)
		if err != nil {
			return nil, err
		}
		c.Photos = append(c.Photos, picture)
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
			c.Matters = append(c.Matters, CardCaution{k.Key, k.Do})
		} else {
			others = append(others, k.Key)
		}
	}
	c.Others = strings.Join(others, ", ")
	c.Warnings = append(append([]string{}, s.Fit...), s.Warnings...)
	c.Note = "colours for D65 and the 2° observer; printed swatches are a guide only"
	if r.Relative {
		c.Note = "no reference in a photo: colours hold only beside one another; printed swatches are a guide only"
	}
	return c, nil
}

// cardDays are the steps of a timetable, day by day.
func cardDays(s *workshop.Schedule) (days []CardDay) {
	zone := s.Bench.Start.Location()
	for i := range s.Steps {
		step := &s.Steps[i]
		day := step.At.In(zone).Format("Monday, 2 January")
		if n := len(days); n == 0 || days[n-1].Day != day {
			days = append(days, CardDay{Day: day})
		}
		line := CardStep{Time: step.At.In(zone).Format("15:04"), What: stepWords(step)}
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

func cardArea(r *workshop.PlanResult, i int, us bool) CardArea {
	a := &r.Areas[i]
	out := CardArea{Number: i + 1, Name: a.Area.Name}
	size := ""
	if a.Area.SizeM2 > 0 {
		size = square(a.Area.SizeM2, us)
	}
	out.About = joined(", ", a.Area.Wood, a.Area.Surface, size)
	coats, path, stop, after := a.Counted(r)
	var lay []string
	n := 0
	for _, c := range coats {
		if c.Count == 0 {
			continue
		}
		n += c.Count
		words := fmt.Sprintf("%s of %s", coatWords(c.Count), c.Coating)
		if c.Range[0] != c.Range[1] {
			words = fmt.Sprintf("%s of %s (%d to %d)", coatWords(c.Count), c.Coating, c.Range[0], c.Range[1])
		}
		lay = append(lay, words)
	}
	if out.Coats = strings.Join(lay, ", then "); n == 0 {
		out.Coats = "leave it as it is"
	}
	if n > 0 {
		out.Stop = stopWords(stop, n)
	}
	out.Left = after
	out.Swatches = append(out.Swatches, CardSwatch{"as it is", path[0].Lab}, CardSwatch{"after the coats", path[len(path)-1].Lab})
	if a.Plan != nil {
		out.Swatches = append(out.Swatches, CardSwatch{"target", a.Plan.Target})
	} else if r.Meet != nil {
		out.Swatches = append(out.Swatches, CardSwatch{"common", r.Meet.Choices[r.Meet.Chosen].Common})
	}
	return out
}

func mixWords(b *schedule.Batch, spare float64, us bool) string {
	if spare == 0 {
		spare = schedule.Surplus
	}
	of := ""
	if b.Thinner > 0.5 {
		of = fmt.Sprintf(", of %s paint and %s thinner", volume(b.Paint, us), volume(b.Thinner, us))
	}
	return fmt.Sprintf("%s: %s in one batch%s; %.0f %% of it is spare for touch-ups", b.Coating, volume(b.Mix, us), of, 100*spare)
}
