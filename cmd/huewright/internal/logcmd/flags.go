package logcmd

import (
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/logbook"
)

// jsonHelp is the text of --json.
const jsonHelp = "Write JSON, for other programs."

// jsonFlag gives a command --json.
func jsonFlag(cmd *cobra.Command) *bool {
	return cmd.Flags().Bool("json", false, jsonHelp)
}

// timeFlag is when something happened; zero for now.
func timeFlag(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	return logbook.ParseTime(text, time.Now())
}

// entryNumber reads the number of an entry, "12" or "#12", for a command of the log.
func entryNumber(command, text string) (int64, error) {
	number, err := strconv.ParseInt(strings.TrimPrefix(text, "#"), 10, 64)
	if err != nil {
		return 0, fault.New(fault.Use, "logcmd.number", "text", text, "command", command)
	}
	return number, nil
}

// labFlag reads the colour of --lab.
func labFlag(text string) (c colour.Lab, err error) {
	parts := strings.Split(text, ",")
	figures := []*float64{&c.L, &c.A, &c.B}
	if len(parts) != len(figures) {
		return c, fault.New(fault.Use, "logcmd.three-numbers", "text", text)
	}
	for i, p := range parts {
		if *figures[i], err = strconv.ParseFloat(strings.TrimSpace(p), 64); err != nil {
			return c, fault.New(fault.Use, "logcmd.three-numbers", "text", text)
		}
	}
	return c, nil
}
