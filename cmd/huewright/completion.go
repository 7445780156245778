package main

import (
	"io"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
)

// completionShells are the shells that there are scripts for.
var completionShells = map[string]func(*cobra.Command, io.Writer) error{
	"bash":       func(root *cobra.Command, w io.Writer) error { return root.GenBashCompletionV2(w, true) },
	"zsh":        func(root *cobra.Command, w io.Writer) error { return root.GenZshCompletion(w) },
	"fish":       func(root *cobra.Command, w io.Writer) error { return root.GenFishCompletion(w, true) },
	"powershell": func(root *cobra.Command, w io.Writer) error { return root.GenPowerShellCompletionWithDesc(w) },
}

func newCompletion(stdout io.Writer) *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "let the Tab key complete commands, files and names",
		Long: `Completion writes a script for your shell: bash, zsh, fish or powershell. With it the Tab key completes commands, flags,
files, and names in your piece file and your log.

To try it in bash, type: source <(huewright completion bash). Bash needs the package bash-completion for it. To keep it,
write the script to a file that your shell reads when it starts.`,
		Example:   "huewright completion bash",
		Args:      shell.Exactly(1, "one: the shell", "bash"),
		ValidArgs: []string{"bash", "zsh", "fish", "powershell"},
		RunE: func(cmd *cobra.Command, args []string) error {
			write, known := completionShells[args[0]]
			if !known {
				return shell.DidYouMean(fault.New(fault.Use, "use.no-shell", "name", args[0]), args[0], cmd.ValidArgs)
			}
			return write(cmd.Root(), stdout)
		},
	}
}
