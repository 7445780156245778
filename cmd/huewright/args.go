package main

import (
	"github.com/spf13/cobra"
)

// exactly asks for just so many arguments, by what they are.
func exactly(n int, what, example string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) != n {
			return wrongUse("as in: "+cmd.CommandPath()+" "+example, "%d arguments, need %s", len(args), what)
		}
		return nil
	}
}

// noCommand refuses an argument that is no command, in the words of a format; hint names those there are.
func noCommand(hint, format string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return wrongUse(hint, format, args[0])
		}
		return nil
	}
}
