package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/piece"
)

// offered is what the Tab key offers after a command line, without the descriptions.
func offered(t *testing.T, args ...string) (offers []string, directive string) {
	t.Helper()
	code, stdout, stderr := huewright(append([]string{"__complete"}, args...)...)
	require.Zero(t, code, stderr)
	require.NotContains(t, stderr, "rror", "%v", args)
	for _, line := range strings.Split(strings.TrimSpace(stdout), "\n") {
		if strings.HasPrefix(line, ":") {
			directive = line
			continue
		}
		name, _, _ := strings.Cut(line, "\t")
		offers = append(offers, name)
	}
	return offers, directive
}

func TestCompletionOffersFiles(t *testing.T) {
	for _, command := range []string{"plan", "preview", "timetable", "card", "check"} {
		offers, directive := offered(t, command, "")
		require.Contains(t, offers, "toml", command)
		require.Equal(t, ":8", directive, "files of these endings")
	}
	for _, args := range [][]string{
		{"measure", ""}, {"measure", "front.jpg", ""}, {"compare", ""}, {"check", ""}, {"check", "front.jpg", "--lamp", ""},
		{"log", "photo", "music cabinet", ""}, {"log", "photo", "music cabinet", "front.jpg", ""}, {"measure", "--flat", ""},
	} {
		offers, directive := offered(t, args...)
		for _, ending := range []string{"jpg", "JPG", "heic", "HEIC", "png", "tiff", "webp", "avif"} {
			require.Contains(t, offers, ending, "%v", args)
		}
		require.Equal(t, ":8", directive, "files of these endings")
	}
	offers, _ := offered(t, "check", "front.jpg", "--shelf", "")
	require.Equal(t, []string{"toml", "TOML"}, offers)
}

func TestCompletionOffersWords(t *testing.T) {
	for line, want := range map[string]string{
		"log coat a b --kind ":       "wash glaze toner stain dye paint",
		"log coat a b --put-on ":     "brushed sprayed wiped",
		"log coat a b --family o":    "oil",
		"log area a b --surface ":    "bare sealed clear-coated non-absorbing porous",
		"log find --of re":           "result repair",
		"card x.toml --paper ":       "A4 Letter",
		"measure x.jpg --reference ": "auto chart grey neutral none",
		"--limit mega":               "megapixels= megabytes=",
		"plan x.toml --limit mega":   "megapixels= megabytes=",
		"completion ":                "bash zsh fish powershell",
		"help ph":                    "photo",
		"help piece":                 "piece-file",
		"help log sh":                "show",
		"compare x.jpg --area frame=1,1,9,9 --area panel=9,9,9,9 --target ": "frame panel",
	} {
		offers, _ := offered(t, strings.Split(line, " ")...)
		require.Equal(t, want, strings.Join(offers, " "), line)
	}
	for _, kind := range []string{"auto", "chart", "grey", "neutral", "none"} {
		given := piece.Reference{Kind: kind, Grey: &imageio.Outline{}, Neutrals: []piece.Neutral{{}}}
		require.NoError(t, given.Check(), "what is offered is taken")
	}
	for _, years := range []string{"since-2014", "before-2014"} {
		require.NoError(t, piece.Reference{Edition: years}.Check(), "what is offered is taken")
	}
}

func TestCompletionOffersNames(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.db")
	t.Setenv("HUEWRIGHT_LOG", log)
	file := filepath.Join(tried(), demoPiece)
	offers, _ := offered(t, "plan", file, "--piece", "")
	require.Equal(t, []string{"music cabinet"}, offers, "of the piece file, as there is no log yet")
	offers, _ = offered(t, "check", front(), "--shelf", file, "--name", "")
	require.Equal(t, []string{"filled corner"}, offers)
	offers, directive := offered(t, "plan", file, "--coats", "")
	require.Equal(t, []string{"frame=", "panel=", "filled corner="}, offers)
	require.Equal(t, ":38", directive, "no space after the sign, no files, as they stand in the piece file")
	offers, _ = offered(t, "card", file, "--coats", "panel=3 f")
	require.Equal(t, []string{"panel=3 frame=", "panel=3 filled corner="}, offers)
	offers, _ = offered(t, "preview", file, "--coats", "panel=3, frame=1 ")
	require.Equal(t, []string{"panel=3, frame=1 filled corner="}, offers)

	done(t, "plan", file, "--piece", "music cabinet")
	done(t, "log", "begin", "hall bench")
	for _, c := range []struct {
		want string
		args []string
	}{
		{"hall bench", []string{"log", "show", "hall"}},
		{"music cabinet", []string{"plan", file, "--piece", "music"}},
		{"frame", []string{"log", "coat", "music cabinet", "fra"}},
		{"panel", []string{"log", "drift", "Music Cabinet", "pan"}},
		{"filled corner", []string{"log", "note", "music cabinet", "x", "--area", "fil"}},
		{"frame", []string{"log", "find", "--piece", "music cabinet", "--area", "fra"}},
		{"sapele", []string{"log", "find", "--wood", "sap"}},
		{"nut-brown wash", []string{"log", "coat", "music cabinet", "frame", "--coating", "nut"}},
		{"17", []string{"log", "again", "17"}},
		{"12", []string{"log", "undo", "12"}},
	} {
		offers, directive := offered(t, c.args...)
		require.Equal(t, []string{c.want}, offers, "%v", c.args)
		require.Equal(t, ":36", directive, "names, and no files")
	}

	other := filepath.Join(t.TempDir(), "other.db")
	done(t, "log", "begin", "desk", "--log", other)
	offers, _ = offered(t, "log", "show", "--log", other, "")
	require.Equal(t, []string{"desk"}, offers, "of the log that is named")
}

// Nothing is made, and nothing is said, where names cannot be looked up.
func TestCompletionFailsSilently(t *testing.T) {
	folder := t.TempDir()
	broken, foreign := filepath.Join(folder, "broken.toml"), filepath.Join(folder, "foreign.db")
	require.NoError(t, os.WriteFile(broken, []byte("name = \"half"), 0o600))
	require.NoError(t, os.WriteFile(foreign, bytes.Repeat([]byte("no log "), 400), 0o600))
	deep := filepath.Join(folder, "deep", "log.db")
	before := names(t, folder)
	for _, log := range []string{deep, foreign, folder} {
		t.Setenv("HUEWRIGHT_LOG", log)
		for _, args := range [][]string{
			{"plan", broken, "--piece", ""}, {"plan", filepath.Join(folder, "none.toml"), "--piece", ""}, {"log", "show", ""},
			{"log", "coat", "x", ""}, {"log", "coat", "x", "y", "--coating", ""}, {"log", "area", "x", "y", "--wood", ""}, {"log", "undo", ""},
			{"log", "again", ""}, {"log", "find", "--area", ""}, {"check", broken, "--name", ""}, {"help", "nosuch", ""},
		} {
			offers, directive := offered(t, args...)
			require.Empty(t, offers, "%s: %v", log, args)
			require.NotEqual(t, ":1", directive, "%s: %v", log, args)
		}
	}
	require.Equal(t, before, names(t, folder))
}

// Every argument and every flag with a value has been thought of: it offers something, or nothing on purpose.
func TestEverythingHasACompletion(t *testing.T) {
	everyCommand(newRoot(&bytes.Buffer{}), func(cmd *cobra.Command) {
		if cmd.Hidden || !cmd.Runnable() {
			return
		}
		assert.Truef(t, cmd.ValidArgsFunction != nil || len(cmd.ValidArgs) > 0, "%s: its arguments", cmd.CommandPath())
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			_, known := cmd.GetFlagCompletionFunc(f.Name)
			assert.Truef(t, known || f.Value.Type() == "bool", "%s --%s", cmd.CommandPath(), f.Name)
		})
	})
}
