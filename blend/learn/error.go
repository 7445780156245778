package learn

// A InputError reports a plan that cannot be made.
type InputError struct{ Problem, Advice string }

func (e *InputError) Error() string { return e.Problem }

// Hint says what to do about it.
func (e *InputError) Hint() string { return e.Advice }
