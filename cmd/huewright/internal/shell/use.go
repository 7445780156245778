// Package shell is what the commands share: how they refuse wrong use, read files within the limits of the run, write
// results, and open the log.
package shell

import (
	"fmt"

	"github.com/spf13/cobra"
)

// UseError is a fault in the command line itself.
type UseError struct {
	problem error
	advice  string
}

func (e *UseError) Error() string { return e.problem.Error() }
func (e *UseError) Hint() string  { return e.advice }

// WrongUse is a *UseError with what to do about it; its text is that of fmt.Errorf.
func WrongUse(advice, format string, args ...any) error {
	return &UseError{fmt.Errorf(format, args...), advice}
}

// Exactly asks for just so many arguments, by what they are.
func Exactly(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			return WrongUse("as in: "+cmd.CommandPath()+" "+example, "%d arguments, need %s", len(args), what)
		}
		return nil
	}
}

// NoCommand refuses an argument that is no command, in the words of a format; hint names those there are.
func NoCommand(hint, format string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return WrongUse(hint, format, args[0])
		}
		return nil
	}
}
