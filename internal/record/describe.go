package record

import (
	"fmt"
	"math"
	"strings"

	"huewright/colour"
	"huewright/internal/logbook"
)

// A Description is an entry in words.
type Description struct {
	Text string
	Lab  *colour.Lab // that it is about; nil for none
}

// Describe puts an entry of the log into words.
func Describe(e *logbook.Entry) Description {
	var t Description
	switch {
	case e.Facts != nil:
		t.Text = describeFacts(e.Facts)
	case e.Picture != nil:
		t.Text = fmt.Sprintf("photo %.8s", e.Picture.SHA256)
	case e.Reference != nil:
		t.Text = describeReference(e.Reference)
	case e.Reading != nil:
		return describeReading(e)
	case e.TestCoat != nil:
		c := e.TestCoat
		t.Text = fmt.Sprintf("%s of %s%s, %s", coatWords(c.Coats), c.Name, ofBatch(c.Batch), shareWords(c.Share, ""))
	case e.Coats != nil:
		t.Text, t.Lab = describeCoats(e.Coats), e.Coats.ResultColour
	case e.Plan != nil:
		t.Text = describePlan(e.Plan)
		t.Lab = e.Plan.Target
	case e.Check != nil:
		t.Text = fmt.Sprintf("repair: %s; unlike %.0f of 100 equal patches; ΔE00 %.1f", e.Check.Says, e.Check.Of100, e.Check.DeltaE)
	case e.Kind == logbook.KindWithdrawal:
		t.Text = fmt.Sprintf("#%d is withdrawn", e.Replaces)
	}
	if e.Replaces != 0 && e.Kind != logbook.KindWithdrawal {
		t.Text = strings.TrimSpace(fmt.Sprintf("%s (instead of #%d)", t.Text, e.Replaces))
	}
	if e.Note != "" {
		t.Text = strings.TrimPrefix(t.Text+": "+e.Note, ": ")
	}
	return t
}

func describeFacts(f *logbook.AreaFacts) string {
	var all []string
	for _, s := range []string{f.Wood, f.Cut, f.Surface, f.WoodAge} {
		if s != "" {
			all = append(all, s)
		}
	}
	if f.Sanding != "" {
		all = append(all, "sanded "+f.Sanding)
	}
	if f.SquareMetres > 0 {
		all = append(all, fmt.Sprintf("%.2f m²", f.SquareMetres))
	}
	if len(all) == 0 {
		return "an area"
	}
	return strings.Join(all, ", ")
}

func describeReference(r *logbook.Reference) string {
	switch {
	case r.By == "none":
		return "no reference in the photo"
	case r.LeftOut > 0:
		return fmt.Sprintf("colours by %s, %d patches, each told by the others within ΔE00 %.1f", r.By, r.Patches, r.LeftOut)
	}
	return "colours by " + r.By
}

func describeReading(e *logbook.Entry) Description {
	r := e.Reading
	what := map[string]string{"area": "read", "target": "target", "chip": "chip", "ground": "ground", "result": "result",
		"repair": "repair", "tie": "tie", "other": "read"}[r.Of]
	if e.Note != "" {
		what = e.Note
	}
	text := fmt.Sprintf("%s L* %.1f a* %.1f b* %.1f ± %.1f", what, tenth(r.Lab.L), tenth(r.Lab.A), tenth(r.Lab.B), r.PlusMinus)
	if s := r.Stack.String(); s != "" {
		text += ", under " + s
	}
	if r.Relative {
		text += ", beside others of its photo only"
	}
	if e.Replaces != 0 {
		text += fmt.Sprintf(" (instead of #%d)", e.Replaces)
	}
	return Description{text, &r.Lab}
}

// tenth rounds to one decimal, and −0 to 0.
func tenth(v float64) float64 { return math.Round(10*v)/10 + 0 }

func describeCoats(c *logbook.Coats) string {
	text := fmt.Sprintf("%s of %s%s, %s", coatWords(float64(c.Coats)), c.Name, ofBatch(c.Batch), shareWords(c.Share, c.ThinnedWith))
	if c.LaidBy != "" {
		text += ", " + c.LaidBy
	}
	if c.WipedAfter != nil {
		text += fmt.Sprintf(", wiped after %g min", *c.WipedAfter)
	}
	if c.Temperature != nil {
		text += fmt.Sprintf(", %.0f °C", *c.Temperature)
	}
	if c.Humidity != nil {
		text += fmt.Sprintf(", %.0f %% humidity", *c.Humidity)
	}
	if c.Dried != nil {
		text += fmt.Sprintf(", dried %g h", *c.Dried)
	}
	if c.ResultColour != nil {
		text += fmt.Sprintf(": L* %.1f a* %.1f b* %.1f", tenth(c.ResultColour.L), tenth(c.ResultColour.A), tenth(c.ResultColour.B))
	}
	return text
}

func describePlan(p *logbook.Plan) string {
	text := "plan: no more coats"
	if p.Coats > 0 {
		text = "plan: " + coatWords(float64(p.Coats)) + " to come"
		if p.Low != p.High {
			text += fmt.Sprintf(", %d to %d", p.Low, p.High)
		}
		text += ", in all " + p.Stack.String()
	}
	return text + fmt.Sprintf("; ΔE00 %.1f now, %.1f then", p.Before, p.After)
}

func ofBatch(batch string) string {
	if batch == "" {
		return ""
	}
	return " (" + batch + ")"
}

func coatWords(n float64) string {
	if n == 1 {
		return "1 coat"
	}
	return fmt.Sprintf("%g coats", n)
}

// shareWords says a mix in words, never as a bare ratio, which the trade writes both ways round.
func shareWords(share float64, with string) string {
	if with == "" {
		with = "thinner"
	}
	if share == 0.5 {
		return "1 part to 1 part " + with
	}
	if share >= 1 {
		return "undiluted"
	}
	if thinner := 1/share - 1; math.Abs(thinner-math.Round(thinner)) < 0.01 {
		return fmt.Sprintf("1 part to %.0f parts %s", math.Round(thinner), with)
	}
	return fmt.Sprintf("%.0f %% in %s", 100*share, with)
}
