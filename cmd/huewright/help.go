package main

import (
	"errors"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"huewright/cmd/huewright/internal/help"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/report"
	"huewright/internal/terminal"
)

// withHelp gives a command and those below it their help pages, with --help in our words.
func withHelp(root *cobra.Command) {
	root.SetHelpFunc(func(cmd *cobra.Command, args []string) {
		if err := writeHelp(cmd.OutOrStdout(), cmd); err != nil {
			cmd.PrintErrln(err)
		}
	})
	root.SetFlagErrorFunc(wrongFlag)
	root.Flags().BoolP("version", "v", false, "Say which version this is.")
	everyCommand(root, func(cmd *cobra.Command) {
		cmd.Flags().SortFlags, cmd.PersistentFlags().SortFlags = false, false
		cmd.Flags().BoolP("help", "h", false, "Show this page.")
	})
}

func everyCommand(cmd *cobra.Command, do func(*cobra.Command)) {
	do(cmd)
	for _, sub := range cmd.Commands() {
		everyCommand(sub, do)
	}
}

// writeHelp writes a help page as wide as the screen it goes to.
func writeHelp(w io.Writer, cmd *cobra.Command) error {
	width := 80
	if t, ok := w.(*terminal.Writer); ok {
		width = t.Width()
	}
	return help.Write(w, cmd, width, exitCodesHelp)
}

func newHelp() *cobra.Command {
	var schema string
	cmd := &cobra.Command{
		Use:   "help PAGE",
		Short: "show the help of a command or of a subject",
		Long:  `Help shows the page of a command or of a subject. Without a name it lists all of them.`,
		Example: `huewright help photo
huewright help log coat
huewright help json plan
huewright help json --schema plan`,
		ValidArgsFunction: func(cmd *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if len(args) == 1 && args[0] == "json" {
				return report.JSONResultNames(), cobra.ShellCompDirectiveNoFileComp
			}
			below, err := page(cmd.Root(), args)
			if err != nil {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			var all []string
			for _, sub := range below.Commands() {
				if !sub.Hidden && strings.HasPrefix(sub.Name(), typed) {
					all = append(all, cobra.CompletionWithDesc(sub.Name(), sub.Short))
				}
			}
			return all, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if schema != "" {
				return jsonSchema(cmd, args, schema)
			}
			if len(args) == 2 && args[0] == "json" {
				return jsonFields(cmd, child(cmd.Root(), "json"), args[1])
			}
			of, err := page(cmd.Root(), args)
			if err != nil {
				return err
			}
			return writeHelp(cmd.OutOrStdout(), of)
		},
	}
	cmd.Flags().StringVar(&schema, "schema", "", "Print the JSON Schema of the answer of this `NAME`. "+
		"\"huewright help json\" lists the names.")
	return cmd
}

// page is the command or the subject of a help page.
func page(root *cobra.Command, names []string) (*cobra.Command, error) {
	at := root
	for i, name := range names {
		next := child(at, name)
		if next == nil {
			var there []string
			for _, sub := range at.Commands() {
				if !sub.Hidden {
					there = append(there, sub.Name())
				}
			}
			return nil, shell.DidYouMean(fault.New(fault.Use, "use.no-page", "name", strings.Join(names[:i+1], " ")), name, there)
		}
		at = next
	}
	return at, nil
}

// child is the command or the subject of a name directly below another; nil for none.
func child(cmd *cobra.Command, name string) *cobra.Command {
	for _, sub := range cmd.Commands() {
		if sub.Name() == name && !sub.Hidden {
			return sub
		}
	}
	return nil
}

// wrongFlag is a fault in the flags, with the flag that was most likely meant.
func wrongFlag(cmd *cobra.Command, err error) error {
	var (
		unknown *pflag.NotExistError
		missing *pflag.ValueRequiredError
		invalid *pflag.InvalidValueError
	)
	page := cmd.CommandPath() + " --help"
	switch {
	case errors.As(err, &unknown):
		name := unknown.GetSpecifiedName()
		dashes := "--"
		if unknown.GetSpecifiedShortnames() != "" {
			dashes = "-"
		}
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
		return shell.DidYouMean(fault.New(fault.Use, "use.no-flag", "flag", dashes+name, "page", page), "--"+name, names)
	case errors.As(err, &missing):
		return fault.New(fault.Use, "use.flag-without-value", "flag", "--"+missing.GetFlag().Name, "page", page)
	case errors.As(err, &invalid):
		return fault.New(fault.Use, "use.flag-value", "flag", "--"+invalid.GetFlag().Name, "value", invalid.GetValue(), "page", page)
	}
	return fault.New(fault.Use, "use.flags", "cause", err.Error(), "page", page)
}
