package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"huewright/cmd/huewright/internal/help"
	"huewright/internal/piece"
)

var update = flag.Bool("update", false, "write the golden file of all help pages anew")

// pages are all commands and subjects that help shows.
func pages() (all []*cobra.Command) {
	everyCommand(newRoot(&bytes.Buffer{}), func(cmd *cobra.Command) {
		if !cmd.Hidden {
			all = append(all, cmd)
		}
	})
	return all
}

func pageText(t *testing.T, cmd *cobra.Command, width int) string {
	var out strings.Builder
	require.NoError(t, help.Write(&out, cmd, width, exitCodesHelp))
	return out.String()
}

// All help pages, to be read in one go: go test ./cmd/huewright -run TestHelpPages -update writes them anew.
func TestHelpPages(t *testing.T) {
	var all strings.Builder
	for _, cmd := range pages() {
		all.WriteString(strings.Repeat("=", 20) + " " + cmd.CommandPath() + "\n\n" + pageText(t, cmd, 80) + "\n")
	}
	const path = "testdata/help.golden"
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(all.String()), 0o644))
	}
	golden, err := os.ReadFile(path)
	require.NoError(t, err, "go test ./cmd/huewright -run TestHelpPages -update")
	want, got := strings.Split(string(golden), "\n"), strings.Split(all.String(), "\n")
	for i := range got {
		if i >= len(want) || got[i] != want[i] {
			t.Fatalf("line %d is now %q: go test ./cmd/huewright -run TestHelpPages -update, and read what changed", i+1, got[i])
		}
	}
	require.Len(t, got, len(want))
}

func TestHelpFitsTheScreen(t *testing.T) {
	for _, cmd := range pages() {
		for width := 40; width <= 80; width++ {
			for _, line := range strings.Split(pageText(t, cmd, width), "\n") {
				if strings.HasPrefix(line, "    ") && strings.Contains(line, " = ") {
					continue // a line of a piece file stands as it is
				}
				assert.LessOrEqual(t, utf8.RuneCountInString(line), width, "%s, %d columns: %s", cmd.CommandPath(), width, line)
				assert.Equal(t, strings.TrimRight(line, " "), line, "%s, %d columns", cmd.CommandPath(), width)
			}
		}
	}
}

// The page that is shown is as wide as the screen.
func TestHelpIsAsWideAsTheScreen(t *testing.T) {
	for _, args := range [][]string{{"plan", "--help"}, {"help", "plan"}, {"help", "photo"}, {"photo"}, {}, {"log"}} {
		t.Setenv("COLUMNS", "46")
		code, stdout, stderr := huewright(args...)
		require.Zero(t, code, stderr)
		longest := 0
		for _, line := range strings.Split(stdout, "\n") {
			longest = max(longest, utf8.RuneCountInString(line))
		}
		require.LessOrEqual(t, longest, 46, "%v", args)
		require.Greater(t, longest, 40, "%v", args)
	}
}

var (
	endOfSentence = regexp.MustCompile(`[.?!](?:\s+|$)`)
	abbreviation  = strings.NewReplacer("U.S.", "US", "e.g.", "eg")
	// dialect are words that people called strange, or that mean something else to them.
	dialect = regexp.MustCompile(`(?i)\b(lets? expect|as it is|put forward|foreseen|foresaw|foresees|` +
		`looks? after (every|each)|of themselves|counts? as reached|come to pass|whereof|that they are|not damper than|in one go|as far as)\b`)
)

// sentences are those of a page, by where they stand.
func sentences(cmd *cobra.Command) map[string][]string {
	all := map[string][]string{}
	add := func(where, text string) {
		for _, s := range endOfSentence.Split(abbreviation.Replace(text), -1) {
			if strings.TrimSpace(s) != "" {
				all[where] = append(all[where], strings.Join(strings.Fields(s), " "))
			}
		}
	}
	long := strings.TrimSuffix(cmd.Long, exitCodesHelp)
	for _, paragraph := range strings.Split(long, "\n\n") {
		prose := ""
		for _, line := range strings.Split(paragraph, "\n") {
			switch comment, isComment := strings.CutPrefix(line, "    # "); {
			case isComment && !strings.Contains(line, " = ") && !strings.Contains(line, "[["):
				add("remark", comment)
			case strings.HasPrefix(line, "    "):
			case strings.HasPrefix(line, "  "):
				term, meaning, _ := strings.Cut(line[2:], "  ")
				add("list", strings.TrimSpace(meaning))
				if meaning == "" {
					add("list", term)
				}
			default:
				prose += " " + line
			}
		}
		add("prose", prose)
	}
	add("short", cmd.Short)
	cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
		_, usage := pflag.UnquoteUsage(f)
		add("flag", usage)
	})
	return all
}

// Sentences are short and plain enough for somebody who reads them once, with wet hands.
func TestHelpIsPlain(t *testing.T) {
	words, count := map[string]int{}, map[string]int{}
	for _, cmd := range pages() {
		for where, all := range sentences(cmd) {
			for _, s := range all {
				n := len(strings.Fields(s))
				assert.LessOrEqual(t, n, 28, "%s: %s", cmd.CommandPath(), s)
				assert.LessOrEqual(t, strings.Count(" "+strings.ToLower(s)+" ", " from "), 1, "%s: %s", cmd.CommandPath(), s)
				assert.NotRegexp(t, dialect, s, cmd.CommandPath())
				words[where], count[where] = words[where]+n, count[where]+1
			}
		}
	}
	for _, where := range []string{"prose", "list", "flag", "remark", "short"} {
		mean := float64(words[where]) / float64(count[where])
		require.Greater(t, count[where], 20, where)
		require.LessOrEqual(t, mean, 14.0, "words a sentence, on average, in %s", where)
		t.Logf("%s: %d sentences, %.1f words on average", where, count[where], mean)
	}
}

// Every flag says what it does in a whole sentence, and names its value as its text does.
func TestFlagsSpeakInSentences(t *testing.T) {
	for _, cmd := range pages() {
		cmd.Flags().VisitAll(func(f *pflag.Flag) {
			assert.Regexp(t, `^[A-Z].*[.]$`, f.Usage, "%s --%s", cmd.CommandPath(), f.Name)
			value, _ := pflag.UnquoteUsage(f)
			if f.Value.Type() != "bool" {
				assert.Regexp(t, `^[A-ZΔL].*$`, value, "%s --%s", cmd.CommandPath(), f.Name)
			}
		})
	}
}

// behindRemark is a line of the piece file in the help that stands behind a #.
var behindRemark = regexp.MustCompile(`(?m)^    # (\[\[?[a-z.]+\]\]?$|[a-z_0-9.]+ = )`)

// The piece file in the help has every key that a piece file may have, in the tables that may have it.
func TestPieceFileHelpHasEveryKey(t *testing.T) {
	var whole map[string]any
	require.NoError(t, toml.Unmarshal([]byte(behindRemark.ReplaceAllString(pieceExample, "    $1")), &whole))
	shown, keys := map[reflect.Type]map[string]bool{}, map[reflect.Type][]string{}
	var visit func(of reflect.Type, value any)
	table := func(of reflect.Type, values map[string]any) {
		if shown[of] == nil {
			shown[of] = map[string]bool{}
		}
		for _, f := range reflect.VisibleFields(of) {
			key, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
			if key == "" || key == "-" {
				continue
			}
			if !slices.Contains(keys[of], key) {
				keys[of] = append(keys[of], key)
			}
			value, there := values[key]
			shown[of][key] = shown[of][key] || there
			visit(f.Type, value)
		}
	}
	visit = func(of reflect.Type, value any) {
		switch value := value.(type) {
		case map[string]any:
			if of.Kind() == reflect.Pointer {
				of = of.Elem()
			}
			if of.Kind() == reflect.Struct {
				table(of, value)
			}
		case []any:
			for _, v := range value {
				visit(of.Elem(), v)
			}
		}
	}
	visit(reflect.TypeFor[piece.Piece](), whole)
	n := 0
	for of, all := range keys {
		for _, key := range all {
			n++
			assert.True(t, shown[of][key], "the help of piece files lacks %q of a %s", key, of.Name())
		}
	}
	require.Greater(t, n, 100)
	for _, line := range strings.Split(pieceExample, "\n") {
		if !strings.HasPrefix(line, "    # ") {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 60, line)
		}
	}
}

// Examples run in the folder that "demo --out" makes, as they stand in the help.
func TestExamplesOfHelp(t *testing.T) {
	work := t.TempDir()
	require.NoError(t, os.CopyFS(work, os.DirFS(tried())))
	t.Chdir(work)
	t.Setenv("HUEWRIGHT_LOG", filepath.Join(work, "log.db"))
	done(t, "plan", demoPiece, "--piece", "music cabinet")
	ran := 0
	for _, cmd := range pages() {
		for _, example := range strings.Split(cmd.Example, "\n") {
			for _, line := range strings.Split(example, " && ") {
				if line == "" {
					continue
				}
				command, ok := strings.CutPrefix(line, "huewright ")
				require.True(t, ok, "%s: %s", cmd.CommandPath(), line)
				code, stderr := asItStands(command)
				assert.Zerof(t, code, "%s: %s\n%s", cmd.CommandPath(), line, stderr)
				ran++
			}
		}
	}
	require.Greater(t, ran, 40)
}

// What is mistyped is told with the name that was most likely meant.
func TestMistyped(t *testing.T) {
	for _, c := range []struct {
		args []string
		says string
		hint string
	}{
		{[]string{"pln"}, `no command "pln"`, `Did you mean "plan"?`},
		{[]string{"timetabel", "x.toml"}, `no command "timetabel"`, `Did you mean "timetable"?`},
		{[]string{"weigh"}, `no command "weigh"`, `See "huewright --help" for all commands.`},
		{[]string{"log", "shwo"}, `no command "log shwo"`, `Did you mean "show"?`},
		{[]string{"log", "shuffle"}, `no command "log shuffle"`, `See "huewright log --help" for all commands.`},
		{[]string{"help", "nosuch"}, `no help page "nosuch"`, `See "huewright help" for all pages.`},
		{[]string{"help", "foto"}, `no help page "foto"`, `Did you mean "photo"?`},
		{[]string{"help", "log", "caot"}, `no help page "log caot"`, `Did you mean "coat"?`},
		{[]string{"help", "plan", "x"}, `no help page "plan x"`, `See "huewright help" for all pages.`},
		{[]string{"timetable", "x.toml", "--tempature", "20"}, `no flag --tempature`, `Did you mean "--temperature"?`},
		{[]string{"plan", "x.toml", "-x"}, `no flag -x`, `See "huewright plan --help" for all flags.`},
		{[]string{"log", "coat", "a", "b", "--kidn", "wash"}, `no flag --kidn`, `Did you mean "--kind"?`},
		{[]string{"plan", "--piece"}, `--piece needs a value`, `See "huewright plan --help".`},
		{[]string{"serve", "--port", "many"}, `--port does not take "many"`, `See "huewright serve --help".`},
		{[]string{"completion", "basch"}, `no script for "basch"`, `Did you mean "bash"?`},
	} {
		code, stdout, stderr := huewright(c.args...)
		require.Equal(t, exitWrongUse, code, "%v: %s", c.args, stderr)
		require.Empty(t, stdout, "%v", c.args)
		require.Contains(t, stderr, c.says, "%v", c.args)
		require.Contains(t, stderr, c.hint, "%v", c.args)
	}
}

// Every page of help is reached from the first one, which has a line on it.
func TestEveryPageIsListed(t *testing.T) {
	_, first, _ := huewright("--help")
	for _, cmd := range pages()[1:] {
		if cmd.Parent().HasParent() {
			continue
		}
		require.Regexp(t, `(?m)^  `+regexp.QuoteMeta(cmd.Name())+` +\S`, first)
		code, page, stderr := huewright("help", cmd.Name())
		require.Zero(t, code, stderr)
		require.NotEmpty(t, page)
	}
}
