package learn

// A PlanError reports a plan that cannot be made.
type PlanError struct{ Problem, Advice string }

func (e *PlanError) Error() string { return e.Problem }

// Hint says what to do about it.
func (e *PlanError) Hint() string { return e.Advice }
