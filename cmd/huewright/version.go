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
	asJSON := false
	cmd := &cobra.Command{
		Use:   "version",
		Short: "say which version this is",
		Long: `Version says which version this is, for which system it was built, and from which sources. It names the libraries in it.
Their licences come with a release, in LICENCES.txt.`,
		Example: `huewright version`,
		Args:    shell.Exactly(0, "none", ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			return shell.PrintResult(stdout, asJSON, thisBuild(), buildText, func(w io.Writer, b *build) error { return shell.WriteJSON(w, b) })
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "Write JSON, for other programs.")
	return cmd
}

// A build is what the program was made of.
type build struct {
	Program   string    `json:"program"` // its version
	System    string    `json:"system"`
	Processor string    `json:"processor"`
	Go        string    `json:"go"`
	Sources   string    `json:"sources,omitempty"` // their state in the archive of sources; "" not known
	Of        string    `json:"of,omitempty"`      // when that was
	Changed   bool      `json:"changed"`           // since then
	Libraries []library `json:"libraries"`
}

type library struct {
	Path    string `json:"path"`
	Version string `json:"version"`
}

func thisBuild() *build {
	b := &build{Program: version(), System: runtime.GOOS, Processor: runtime.GOARCH, Go: runtime.Version(), Libraries: []library{}}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Sources = s.Value
		case "vcs.time":
			b.Of = s.Value
		case "vcs.modified":
			b.Changed = s.Value == "true"
		}
	}
	for _, d := range info.Deps {
		b.Libraries = append(b.Libraries, library{d.Path, d.Version})
	}
	return b
}

func buildText(w io.Writer, b *build) error {
	var out strings.Builder
	fmt.Fprintf(&out, "huewright %s, for %s on %s, built with %s\n", b.Program, b.System, b.Processor, b.Go)
	if b.Sources != "" {
		changed := ""
		if b.Changed {
			changed = ", changed since"
		}
		fmt.Fprintf(&out, "sources %.12s of %s%s\n", b.Sources, b.Of, changed)
	}
	out.WriteString(`
MIT licence. The works of others are in it, under licences of their own. For
HEIC these are libheif and libde265 under the LGPL, version 3. You may replace
them: see README.md and LICENCES.txt.

`)
	for _, l := range b.Libraries {
		fmt.Fprintf(&out, "  %s %s\n", l.Path, l.Version)
	}
	_, err := io.WriteString(w, out.String())
	return err
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
