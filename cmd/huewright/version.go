package main

import (
	"fmt"
	"io"
	"os"
	"regexp"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
)

// released is the version that .ci/release builds; "" for any other build.
var released string

// version is what the build says of itself.
func version() string {
	if released != "" {
		return released
	}
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(unreleased)"
	}
	return info.Main.Version
}

func newVersion(stdout io.Writer) *cobra.Command {
	return &cobra.Command{
		Use:   "version",
		Short: "say which version this is",
		Long: `Version says which version this is, for which system it was built, and from which sources. It names the libraries in it.
Their licences come with a release, in LICENCES.txt.`,
		Example: `huewright version`,
		Args:    shell.Exactly(0, "none", ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			_, err := io.WriteString(stdout, versionText())
			return err
		},
	}
}

func versionText() string {
	var out strings.Builder
	fmt.Fprintf(&out, "huewright %s, for %s on %s, built with %s\n", version(), runtime.GOOS, runtime.GOARCH, runtime.Version())
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return out.String()
	}
	settings := map[string]string{}
	for _, s := range info.Settings {
		settings[s.Key] = s.Value
	}
	if revision := settings["vcs.revision"]; revision != "" {
		changed := ""
		if settings["vcs.modified"] == "true" {
			changed = ", changed since"
		}
		fmt.Fprintf(&out, "sources %.12s of %s%s\n", revision, settings["vcs.time"], changed)
	}
	out.WriteString("\nMIT licence. In it are the works of others under licences of their own; for HEIC, libheif and libde265 " +
		"under the LGPL,\nversion 3, which you may replace: see README.md and LICENCES.txt.\n\n")
	for _, d := range info.Deps {
		fmt.Fprintf(&out, "  %s %s\n", d.Path, d.Version)
	}
	return out.String()
}

// listItem is the beginning of an item of a list in a help page; a manual page shows it as it is where it stands further in.
var listItem = regexp.MustCompile(`(?m)^  \S`)

// newManual writes manual pages; it is for releases, and not shown.
func newManual() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use: "manual", Hidden: true, Short: "write manual pages", Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if out == "" {
				return shell.Like(fault.New(fault.Use, "use.no-folder"), "--out man")
			}
			if err := os.MkdirAll(out, 0o755); err != nil {
				return err
			}
			root := cmd.Root()
			everyCommand(root, func(cmd *cobra.Command) { cmd.Long = listItem.ReplaceAllString(cmd.Long, "  $0") })
			root.DisableAutoGenTag = true
			day := time.Unix(0, 0)
			return doc.GenManTree(root, &doc.GenManHeader{Title: "HUEWRIGHT", Section: "1", Source: "huewright " + version(), Date: &day}, out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "`FOLDER` for them")
	return cmd
}
