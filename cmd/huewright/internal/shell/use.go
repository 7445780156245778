// Package shell is what the commands share: how they refuse wrong use, read colours and files within the limits of the run,
// write results, and open the log.
package shell

import (
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"huewright/internal/fault"
)

// Exactly asks for just so many arguments, by what they are.
func Exactly(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			wrong := fault.New(fault.Use, "use.arguments", "have", len(args), "command", cmd.CommandPath(), "need", what)
			return Like(wrong, strings.TrimSpace(cmd.CommandPath()+" "+example))
		}
		return nil
	}
}

// Like is a fault with an example of how to do it.
func Like(f *fault.Fault, example string) *fault.Fault {
	return f.WithHint("use.like", "example", example)
}

// InFlag is what is wrong with the value of a flag, with an example of a right one.
func InFlag(flag, example string, err error) error {
	var said any = sentence(err.Error())
	if f := fault.Of(err); f != nil {
		said = f.Note
	}
	return Like(fault.New(fault.Use, "use.in-flag", "flag", flag, "said", said).Because(err), example)
}

// Cause is the innermost reason of an error of the system, without the names round it.
func Cause(err error) string {
	for inner := errors.Unwrap(err); inner != nil; inner = errors.Unwrap(err) {
		err = inner
	}
	return err.Error()
}

// sentence is a text as a sentence.
func sentence(text string) string {
	first, n := utf8.DecodeRuneInString(text)
	return strings.TrimSuffix(string(unicode.ToUpper(first))+text[n:], ".") + "."
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
