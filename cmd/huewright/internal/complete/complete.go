// Package complete is what the Tab key offers: files of the right kind, the words that a flag takes, and names in the piece
// file and in the log that the command line means.
//
// It begins with Register. The table of what completes which argument stands in table.go, names are looked up in names.go.
// Nothing here fails: what cannot be read offers nothing, and no log is ever made.
package complete

import (
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// An offer is what may stand at a place of a command line, for what has been typed of it so far.
type offer = cobra.CompletionFunc

// Register gives the program's command and those below it what completes their arguments and the values of their flags. The
// limits are the names that --limit knows.
func Register(root *cobra.Command, limits []string) {
	var named []string
	for _, name := range limits {
		named = append(named, name+"=")
	}
	of := func(_ *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return beginning(named, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	}
	_ = root.RegisterFlagCompletionFunc("limit", of) // fails only where it is registered already
	register(root)
}

func register(cmd *cobra.Command) {
	for _, sub := range cmd.Commands() {
		register(sub)
	}
	path := pathOf(cmd)
	if args, known := arguments[path]; known && cmd.ValidArgsFunction == nil {
		cmd.ValidArgsFunction = inTurn(args)
	}
	flag := func(f *pflag.Flag) {
		if of := flagOffer(path, f); of != nil {
			_ = cmd.RegisterFlagCompletionFunc(f.Name, of) // fails only where it is registered already
		}
	}
	cmd.PersistentFlags().VisitAll(flag)
	cmd.LocalNonPersistentFlags().VisitAll(flag)
}

// pathOf is a command without the program's name: "log coat"; "" for the program itself.
func pathOf(cmd *cobra.Command) string {
	_, path, _ := strings.Cut(cmd.CommandPath(), " ")
	return path
}

// flagOffer is what completes the value of a command's flag; nil for a flag without a value, and for one that the table lacks.
func flagOffer(path string, f *pflag.Flag) offer {
	if f.Value.Type() == "bool" {
		return nil
	}
	if of, known := flags[path+" --"+f.Name]; known {
		return of
	}
	return flags["--"+f.Name]
}

// inTurn offers for each argument what stands for it; the last of them for all that follow where the list ends with again.
func inTurn(offers []offer) offer {
	return func(cmd *cobra.Command, args []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
		i := len(args)
		if last := len(offers) - 1; i >= last && last >= 1 && offers[last] == nil {
			i = last - 1
		}
		if i >= len(offers) || offers[i] == nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offers[i](cmd, args, typed)
	}
}

// nothing is for what a person has to think of.
func nothing(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveNoFileComp
}

// anyFile is for a file of any kind, and for one that is to be made.
func anyFile(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveDefault
}

func folder(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// files offers files of some endings, and folders to find them in.
func files(endings ...string) offer {
	var all []string
	for _, e := range endings {
		all = append(all, e, strings.ToUpper(e)) // cameras write IMG_0001.JPG
	}
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return all, cobra.ShellCompDirectiveFilterFileExt
	}
}

// words offers words of a list.
func words(all ...string) offer {
	return func(_ *cobra.Command, _ []string, typed string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return beginning(all, typed), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
	}
}

// beginning are those of a list that begin as typed, each once.
func beginning(all []string, typed string) (some []string) {
	seen := map[string]bool{}
	for _, s := range all {
		if s != "" && strings.HasPrefix(s, typed) && !seen[s] {
			some = append(some, s)
			seen[s] = true
		}
	}
	return some
}
