package web

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"huewright/blend/schedule"
	"huewright/internal/report/card"
	"huewright/internal/workshop"
)

// A benchDay is the steps of one day, with boxes to tick.
type benchDay struct {
	Day   string
	Steps []benchStep
}

// A benchStep is one of them.
type benchStep struct {
	card.Step
	Key  string
	Done bool
}

// benchDays are the steps of a schedule, as its card tells them, with those ticked that are done. A schedule that is made again has the
// same steps at other times, so a step is known by what is done, to what, and how many coats lie there already.
func benchDays(d *pieceDraft, all []schedule.Step, told []card.Day, r *workshop.PlanResult) (days []benchDay) {
	seen, at := map[string]int{}, 0
	for _, day := range told {
		one := benchDay{Day: day.Day}
		for _, step := range day.Steps {
			key := stepKey(&all[at], r)
			if seen[key]++; seen[key] > 1 {
				key = fmt.Sprintf("%s, time %d", key, seen[key])
			}
			sum := sha256.Sum256([]byte(key)) // names may be long
			key = hex.EncodeToString(sum[:8])
			one.Steps = append(one.Steps, benchStep{step, key, d.Ticked[key]})
			at++
		}
		days = append(days, one)
	}
	return days
}

// stepKey tells a step from others. What comes before the first coat is done once.
func stepKey(step *schedule.Step, r *workshop.PlanResult) string {
	key := fmt.Sprintf("%s %s %d on %s", step.Work, step.Coating, step.Coat, strings.Join(step.Areas, ", "))
	if step.Clear {
		key += ", clear"
	}
	if step.Coat > 0 || step.Work == schedule.Stop {
		laid := 0
		for _, name := range step.Areas {
			for _, l := range r.Named(name).Area.Laid {
				laid += l.Coats
			}
		}
		key += fmt.Sprintf(", over %d", laid)
	}
	return key
}

// tick notes that a step of the schedule is done, or that it is not.
func tick(d *pieceDraft, f form) error {
	key, err := f.required("step", "the step")
	if err != nil {
		return err
	}
	if _, err := f.required("what", "what is done"); err != nil {
		return err
	}
	if f.text("done") == "no" {
		delete(d.Ticked, key)
		return nil
	}
	if d.Ticked == nil {
		d.Ticked = map[string]bool{}
	}
	d.Ticked[key] = true
	return nil
}
