package shell

import "fmt"

// UseError is a fault in the command line itself.
type UseError struct {
	problem error
	advice  string
}

func (e *UseError) Error() string { return e.problem.Error() }

func (e *UseError) Hint() string { return e.advice }

func WrongUse(advice, format string, args ...any) error {
	return &UseError{fmt.Errorf(format, args...), advice}
}
