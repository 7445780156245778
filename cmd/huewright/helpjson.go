package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/report"
)

const jsonHelp = `
With --json a command writes its answer as one JSON object, for other programs. Its "version" is raised when a field
changes its meaning or goes. New fields may come without it. Figures are rounded to four decimals. What is not known is
null.

Colours are L*, a*, b* in daylight (D65, 2° observer). Differences are ΔE00 (CIEDE2000). A range is its low and its high
end, and holds 8 times in 10. Times are as in RFC 3339.

"huewright help json plan" tells every field of a plan and its unit. "huewright help json --schema plan" prints its JSON
Schema, draft 2020-12. The other answers have these names:

`

// jsonTopic is the help page of answers as JSON.
func jsonTopic() *cobra.Command {
	var list strings.Builder
	for _, r := range report.JSONResults {
		fmt.Fprintf(&list, "  %s  %s\n", r.Name, r.Write)
	}
	list.WriteString("\nCommands that write a file answer with its name, and commands that change the log with what they did.\n")
	return &cobra.Command{Use: "json", Short: "what is in an answer as JSON, and its schema", Long: jsonHelp + list.String()}
}

// jsonResult is the kind of answer of a name.
func jsonResult(name string) (report.JSONResult, error) {
	for _, r := range report.JSONResults {
		if r.Name == name {
			return r, nil
		}
	}
	return report.JSONResult{}, shell.DidYouMean(fault.New(fault.Use, "use.no-answer", "name", name), name, report.JSONResultNames())
}

// jsonFields shows all fields of an answer.
func jsonFields(cmd, topic *cobra.Command, name string) error {
	r, err := jsonResult(name)
	if err != nil {
		return err
	}
	text := fmt.Sprintf("The fields of the answer %q, in the order they are written.\n%s", name, r.FieldLines())
	page := &cobra.Command{Use: name, Long: text}
	topic.AddCommand(page)
	return writeHelp(cmd.OutOrStdout(), page)
}

// jsonSchema prints the schema of an answer.
func jsonSchema(cmd *cobra.Command, args []string, name string) error {
	if len(args) > 1 || len(args) == 1 && args[0] != "json" {
		return shell.Like(fault.New(fault.Use, "use.schema-of-json"), "huewright help json --schema plan")
	}
	r, err := jsonResult(name)
	if err != nil {
		return err
	}
	_, err = cmd.OutOrStdout().Write(r.Schema(false))
	return err
}
