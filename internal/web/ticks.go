package web

import "huewright/internal/report/card"

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

// benchDays are the steps of a schedule, as its card tells them, with those ticked that are done.
func benchDays(d *pieceDraft, told []card.Day, keys []string) (days []benchDay) {
	for _, day := range told {
		one := benchDay{Day: day.Day}
		for _, step := range day.Steps {
			one.Steps = append(one.Steps, benchStep{step, keys[0], d.Ticked[keys[0]]})
			keys = keys[1:]
		}
		days = append(days, one)
	}
	return days
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
