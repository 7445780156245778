// Package shell is what the commands share: how they refuse wrong use, read files within the limits of the run, write
// results, and open the log.
package shell

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"huewright/internal/fault"
)

// UseError is a fault in the command line itself.
type UseError struct {
	problem error
	advice  string
}

func (e *UseError) Error() string { return e.problem.Error() }
func (e *UseError) Hint() string  { return e.advice }
func (e *UseError) Unwrap() error { return e.problem }

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

// NoCommand refuses an argument that is no command below cmd, with the one that was most likely meant.
func NoCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, sub := range cmd.Commands() {
		if sub.IsAvailableCommand() {
			names = append(names, sub.Name())
		}
	}
	typed := strings.TrimPrefix(cmd.CommandPath()+" "+args[0], cmd.Root().Name()+" ")
	return DidYouMean(fault.New(fault.Use, "use.no-command", "name", typed, "page", cmd.CommandPath()+" --help"), args[0], names)
}
