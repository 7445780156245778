package record

import (
	"math"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

// A Description is what an entry says, as parts of one line.
type Description struct {
	Parts []fault.Note
	Lab   *colour.Lab // that it is about; nil for none
}

// Describe is what an entry of the log says, with its figures.
func Describe(e *logbook.Entry) Description {
	var d Description
	named := false
	switch {
	case e.Facts != nil:
		d.Parts = Facts(e.Facts)
	case e.Picture != nil:
		d.Parts = one("entry.photo", "photo", e.Picture.SHA256[:min(8, len(e.Picture.SHA256))])
	case e.Reference != nil:
		d.Parts = describeReference(e.Reference)
	case e.Reading != nil:
		d.Lab, named = &e.Reading.Lab, e.Note != ""
		d.Parts = describeReading(e)
	case e.TestCoat != nil:
		c := e.TestCoat
		d.Parts = append(one("entry.test-coat", "coats", coatsOf(c.Name, c.Coats)), made(&c.Coating, c.Share, "")...)
	case e.Coats != nil:
		d.Parts, d.Lab = append(CoatsLaid(e.Coats), came(e.Coats.ResultColour)...), e.Coats.ResultColour
	case e.Plan != nil:
		d.Parts, d.Lab = describePlan(e.Plan), e.Plan.Target
	case e.Check != nil:
		d.Parts = append(one("entry.repair", "verdict", e.Check.Says), fault.Say("entry.unlike", "n", math.Round(e.Check.Of100)),
			fault.Say("entry.off", "delta", e.Check.DeltaE))
	case e.Kind == logbook.KindWithdrawal:
		d.Parts = one("entry.undoes", "number", e.Replaces)
	}
	if e.Replaces != 0 && e.Kind != logbook.KindWithdrawal {
		d.Parts = append(d.Parts, fault.Say("entry.instead", "number", e.Replaces))
	}
	if e.Note != "" && !named {
		d.Parts = append(d.Parts, said(e.Note))
	}
	return d
}

func one(code fault.Code, values ...any) []fault.Note {
	return []fault.Note{fault.Say(code, values...)}
}

// said are a person's own words.
func said(text string) fault.Note { return fault.Say(fault.Said, "text", text) }

// Facts are what a part of a piece is made of.
func Facts(f *logbook.AreaFacts) (all []fault.Note) {
	for _, s := range []string{f.Wood, f.Cut, f.Surface, f.WoodAge} {
		if s != "" {
			all = append(all, said(s))
		}
	}
	if f.Sanding != "" {
		all = append(all, fault.Say("entry.sanded", "grits", f.Sanding))
	}
	if f.SquareMetres > 0 {
		all = append(all, fault.Say("entry.size", "size", f.SquareMetres))
	}
	if len(all) == 0 {
		all = one("entry.area")
	}
	return all
}

func describeReference(r *logbook.Reference) []fault.Note {
	switch {
	case r.By == "none":
		return one("entry.no-reference")
	case r.LeftOut > 0:
		return []fault.Note{fault.Say("entry.reference", "by", r.By), fault.Say("entry.patches", "n", r.Patches),
			fault.Say("entry.typical", "error", r.LeftOut)}
	}
	return one("entry.reference", "by", r.By)
}

func describeReading(e *logbook.Entry) []fault.Note {
	r := e.Reading
	what := fault.Say("entry.reading-of", "of", r.Of)
	if e.Note != "" {
		what = said(e.Note)
	}
	all := one("entry.reading", "what", what, "lab", figures(r.Lab), "more", r.PlusMinus)
	if len(r.Stack) > 0 {
		all = append(all, fault.Say("entry.under", "coats", Stack(r.Stack)))
	}
	if r.Relative {
		all = append(all, fault.Say("entry.relative"))
	}
	return all
}

// figures are those of a colour.
func figures(c colour.Lab) fault.Note { return fault.Say("entry.lab", "l", c.L, "a", c.A, "b", c.B) }

// Stack are coats on an area, the undermost first.
func Stack(s logbook.Stack) (all []fault.Note) {
	for _, l := range s {
		all = append(all, coatsOf(l.Coating, l.Coats))
	}
	return all
}

func coatsOf(coating string, n float64) fault.Note {
	return fault.Say("entry.coats", "n", n, "coating", coating)
}

// CoatsLaid are coats that were laid, with all that is needed to lay them again.
func CoatsLaid(c *logbook.Coats) []fault.Note {
	all := append([]fault.Note{coatsOf(c.Name, float64(c.Coats))}, made(&c.Coating, c.Share, c.ThinnedWith)...)
	if c.LaidBy != "" {
		all = append(all, said(c.LaidBy))
	}
	if c.WipedAfter != nil {
		all = append(all, fault.Say("entry.wiped", "hours", *c.WipedAfter/60))
	}
	if c.Temperature != nil {
		all = append(all, fault.Say("entry.temperature", "celsius", *c.Temperature))
	}
	if c.Humidity != nil {
		all = append(all, fault.Say("entry.humidity", "humidity", *c.Humidity))
	}
	if c.Dried != nil {
		all = append(all, fault.Say("entry.dried", "hours", *c.Dried))
	}
	return all
}

// made is the tin or mix that a coating came from, and how it was thinned.
func made(k *logbook.Coating, share float64, with string) []fault.Note {
	if k.Batch == "" {
		return Mix(share, with)
	}
	return append([]fault.Note{said(k.Batch)}, Mix(share, with)...)
}

func came(result *colour.Lab) []fault.Note {
	if result == nil {
		return nil
	}
	return one("entry.came", "lab", figures(*result))
}

// Mix says a mix in words, never as a bare ratio, which the trade writes both ways round.
func Mix(share float64, with string) []fault.Note {
	thinner := fault.Say("entry.thinner")
	if with != "" {
		thinner = said(with)
	}
	if share >= 1 {
		return one("entry.undiluted")
	}
	if parts := 1/share - 1; math.Abs(parts-math.Round(parts)) < 0.01 {
		return one("entry.mix", "parts", math.Round(parts), "with", thinner)
	}
	return one("entry.mix-share", "share", share, "with", thinner)
}

func describePlan(p *logbook.Plan) []fault.Note {
	if p.Coats == 0 {
		return []fault.Note{fault.Say("entry.plan-done"), fault.Say("entry.off-now", "delta", p.Before)}
	}
	all := one("entry.plan", "n", p.Coats)
	if p.Low != p.High {
		all = append(all, fault.Say("entry.range", "low", p.Low, "high", p.High))
	}
	return append(all, fault.Say("entry.in-all", "coats", Stack(p.Stack)), fault.Say("entry.off-then", "before", p.Before, "after", p.After))
}
