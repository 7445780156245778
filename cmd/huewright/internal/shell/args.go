package shell

import "github.com/spf13/cobra"

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
