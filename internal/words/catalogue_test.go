package words

import (
	"cmp"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

var update = flag.Bool("update", false, "write the golden files of all sentences anew")

// catalogue is every text, by code.
func catalogue(t *testing.T) map[fault.Code]Text {
	t.Helper()
	entries, err := files.ReadDir("english")
	require.NoError(t, err)
	all := map[fault.Code]Text{}
	for _, e := range entries {
		subject := strings.TrimSuffix(e.Name(), ".toml")
		texts, err := readSubject(subject)
		require.NoError(t, err)
		for thing, text := range texts {
			all[fault.Code(subject+"."+thing)] = text
		}
	}
	return all
}

var (
	codeLike = regexp.MustCompile(`^[a-z]+(\.[a-z0-9]+(-[a-z0-9]+)*)$`)
	nameLike = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
)

// use is a place in the sources where a code is written.
type use struct {
	at     token.Position
	values []string // the names of the values that are given with it there
	call   bool     // with values, or none: the arguments of fault.Say, fault.New and the like
}

// uses are the codes in the sources of the whole project, by the subjects that there are.
func uses(t *testing.T, subjects map[string]bool) map[fault.Code][]use {
	t.Helper()
	all := map[fault.Code][]use{}
	set := token.NewFileSet()
	code := func(e ast.Expr) (fault.Code, bool) {
		lit, isLit := e.(*ast.BasicLit)
		if !isLit || lit.Kind != token.STRING {
			return "", false
		}
		s, _ := strconv.Unquote(lit.Value)
		subject, _, _ := strings.Cut(s, ".")
		return fault.Code(s), codeLike.MatchString(s) && subjects[subject]
	}
	require.NoError(t, filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		inCall := map[ast.Expr]bool{}
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				asked, _ := n.Fun.(*ast.SelectorExpr) // fault.Is gives no values
				for i, arg := range n.Args {
					if c, is := code(arg); is {
						names, literal := valueNames(n.Args[i+1:])
						literal = literal && (asked == nil || asked.Sel.Name != "Is")
						all[c] = append(all[c], use{set.Position(arg.Pos()), names, literal && n.Ellipsis == token.NoPos})
						inCall[arg] = true
						break
					}
				}
			case *ast.BasicLit:
				if c, is := code(n); is && !inCall[n] {
					all[c] = append(all[c], use{at: set.Position(n.Pos())})
				}
			}
			return true
		})
		return nil
	}))
	return all
}

// valueNames are the names in the pairs that follow a code; literal is false where they are not written out there.
func valueNames(args []ast.Expr) (names []string, literal bool) {
	if len(args)%2 != 0 {
		return nil, false
	}
	for i := 0; i < len(args); i += 2 {
		lit, isLit := args[i].(*ast.BasicLit)
		if !isLit || lit.Kind != token.STRING {
			return nil, false
		}
		name, _ := strconv.Unquote(lit.Value)
		names = append(names, name)
	}
	return names, true
}

// Every code in the sources has a text, and every text a code that uses it.
func TestEveryCodeHasWords(t *testing.T) {
	all := catalogue(t)
	subjects := map[string]bool{}
	for code := range all {
		subject, _, _ := strings.Cut(string(code), ".")
		subjects[subject] = true
	}
	used := uses(t, subjects)
	for code, at := range used {
		require.NotZero(t, all[code], "%v: %s: a code without words", at[0].at, code)
	}
	for code, text := range all {
		require.NotEmpty(t, used[code], "%s: words that no code uses", code)
		for _, u := range used[code] {
			if !u.call {
				continue
			}
			for _, template := range []string{text.Says, text.Part, text.Page, text.Hint, text.PageHint} {
				for _, p := range placeholders(template) {
					require.Contains(t, u.values, p.name, "%v: %s tells {%s}, which is not given there", u.at, code, p.name)
				}
			}
		}
	}
}

type placeholder struct{ name, format string }

// placeholders are those of a template, those within others too.
func placeholders(template string) (all []placeholder) {
	template = strings.ReplaceAll(template, "'{'", "")
	for {
		i := strings.IndexByte(template, '{')
		if i < 0 {
			return all
		}
		inside, rest, closed := braces(template[i:])
		if !closed {
			return append(all, placeholder{template[i:], "never closed"})
		}
		name, options, _ := strings.Cut(inside, ",")
		if !strings.HasPrefix(name, "@") {
			format, options, _ := strings.Cut(strings.TrimSpace(options), ",")
			all = append(all, placeholder{strings.TrimSpace(name), format})
			if format == "plural" || format == "select" {
				for options != "" {
					_, after, more := strings.Cut(options, "{")
					if !more {
						break
					}
					text, rest, _ := braces("{" + after)
					all, options = append(all, placeholders(text)...), rest
				}
			}
		}
		template = rest
	}
}

// samples are values for the names of a code: of its own table in testdata/SUBJECT.samples.toml, before those of the
// whole subject there, before those of testdata/samples.toml.
func samples(t *testing.T, code fault.Code) map[string]any {
	t.Helper()
	subject, thing, _ := strings.Cut(string(code), ".")
	all := map[string]any{}
	for _, path := range []string{"testdata/samples.toml", "testdata/" + subject + ".samples.toml"} {
		data, err := os.ReadFile(path)
		if err != nil && path != "testdata/samples.toml" {
			continue
		}
		require.NoError(t, err)
		require.NoError(t, toml.Unmarshal(data, &all))
	}
	own, _ := all[thing].(map[string]any)
	for name, value := range all {
		if _, isTable := value.(map[string]any); isTable {
			delete(all, name)
		}
	}
	maps.Copy(all, own)
	return all
}

// sampleValues are samples for the values that a text tells; where there is none the format tells what to show.
func sampleValues(t *testing.T, code fault.Code, text Text, many bool) fault.Values {
	t.Helper()
	samples := samples(t, code)
	values := fault.Values{}
	for _, p := range placeholders(text.Says + text.Part + text.Page + text.Hint + text.PageHint) {
		sample, known := samples[p.name]
		switch {
		case p.format == "plural" && !many:
			values[p.name] = 1
		case known:
			values[p.name] = sample
		case p.format == "plural":
			values[p.name] = 3
		case p.format == "" || p.format == "list" || p.format == "or" || p.format == "select":
			if _, is := values[p.name]; !is {
				values[p.name] = "‹" + p.name + "›"
			}
		default:
			values[p.name] = 0.12
		}
	}
	return values
}

// A table of samples stands for a code, and each sample for a value that a sentence tells.
func TestSamplesAreUsed(t *testing.T) {
	all := catalogue(t)
	told := func(name string, of ...Text) bool {
		return slices.ContainsFunc(of, func(text Text) bool {
			return slices.ContainsFunc(placeholders(text.Says+text.Part+text.Page+text.Hint+text.PageHint),
				func(p placeholder) bool { return p.name == name })
		})
	}
	paths, err := filepath.Glob("testdata/*.samples.toml")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		var samples map[string]any
		require.NoError(t, toml.Unmarshal(data, &samples), path)
		subject := strings.TrimSuffix(filepath.Base(path), ".samples.toml")
		texts, err := readSubject(subject)
		require.NoError(t, err)
		for name, sample := range samples {
			own, isTable := sample.(map[string]any)
			if !isTable {
				require.True(t, told(name, slices.Collect(maps.Values(texts))...), "%s: no sentence tells %q", path, name)
				continue
			}
			code := fault.Code(subject + "." + name)
			require.NotZero(t, all[code], "%s: samples of a code that there is not: %s", path, code)
			for name := range own {
				require.True(t, told(name, all[code]), "%s: %s tells no %q", path, code, name)
			}
		}
	}
}

// variants are what is said for a code in all voices, vocabularies and plurals, each different text once.
func variants(t *testing.T, code fault.Code, text Text) (lines []string) {
	t.Helper()
	for _, kind := range []struct {
		name           string
		terminal, page string
	}{{"", text.Says + text.Part, text.Page}, {"hint", text.Hint, text.PageHint}} {
		for _, v := range []struct {
			name, template string
			us, many       bool
		}{
			{"", kind.terminal, false, true}, {"one", kind.terminal, false, false}, {"US", kind.terminal, true, true},
			{"page", kind.page, false, true}, {"page US", kind.page, true, true},
		} {
			line := Speaker{US: v.us}.fill(v.template, sampleValues(t, code, text, v.many))
			if v.template == "" || slices.ContainsFunc(lines, func(l string) bool { return strings.HasSuffix(l, "  "+line) }) {
				continue
			}
			lines = append(lines, fmt.Sprintf("%12s  %s", strings.TrimSpace(kind.name+" "+v.name), line))
		}
		for _, chosen := range selections(kind.terminal) {
			values := sampleValues(t, code, text, true)
			values[chosen.name] = chosen.key
			line := Speaker{}.fill(kind.terminal, values)
			if !slices.ContainsFunc(lines, func(l string) bool { return strings.HasSuffix(l, "  "+line) }) {
				lines = append(lines, fmt.Sprintf("%12s  %s", strings.TrimSpace(kind.name+" "+chosen.key), line))
			}
		}
	}
	return lines
}

var selecting = regexp.MustCompile(`\{([a-z0-9-]+), select, `)

// selections are the texts that a template selects among, by name and key.
func selections(template string) (all []struct{ name, key string }) {
	for _, at := range selecting.FindAllStringSubmatchIndex(template, -1) {
		inside, _, _ := braces(template[at[0]:])
		options := inside[at[1]-at[0]-1:]
		for {
			key, rest, more := strings.Cut(options, "{")
			if !more {
				break
			}
			all = append(all, struct{ name, key string }{template[at[2]:at[3]], strings.TrimSpace(key)})
			_, options, _ = braces("{" + rest)
		}
	}
	return all
}

// Every sentence with sample values, to be read in one go. go test ./internal/words -update writes the files anew.
func TestSentences(t *testing.T) {
	all := catalogue(t)
	bySubject := map[string]string{}
	for _, code := range slices.Sorted(maps.Keys(all)) {
		subject, _, _ := strings.Cut(string(code), ".")
		bySubject[subject] += string(code) + "\n" + strings.Join(variants(t, code, all[code]), "\n") + "\n\n"
	}
	for subject, text := range bySubject {
		path := filepath.Join("testdata", subject+".golden")
		if *update {
			require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		}
		golden, err := os.ReadFile(path)
		require.NoError(t, err, "go test ./internal/words -update")
		require.Equal(t, string(golden), text, "go test ./internal/words -update, and read what changed")
	}
}

var endOfSentence = regexp.MustCompile(`[.?!:;](\s|$)`)

// Sentences are short and plain enough to be understood on the first reading by somebody with wet hands.
func TestSentencesArePlain(t *testing.T) {
	words, sentences := 0, 0
	for code, text := range catalogue(t) {
		require.NotEqual(t, text.Says == "", text.Part == "", "%s: says or part, one of them", code)
		require.Regexp(t, nameLike, strings.SplitN(string(code), ".", 2)[1])
		for _, template := range []string{text.Says, text.Part, text.Page, text.Hint, text.PageHint} {
			if template == "" {
				continue
			}
			line := Speaker{}.fill(template, sampleValues(t, code, text, true))
			require.NotContains(t, line, "{", "%s: %s", code, template)
			if template != text.Part && template != "{text}" {
				require.Regexp(t, `^[\p{Lu}\d"‹ΔL].*[.?!]$`, line, "%s: a whole sentence", code)
			}
			for _, sentence := range endOfSentence.Split(line, -1) {
				n := len(strings.Fields(sentence))
				if n == 0 {
					continue
				}
				require.LessOrEqual(t, n, 28, "%s: %s", code, sentence)
				require.LessOrEqual(t, strings.Count(" "+strings.ToLower(sentence)+" ", " from "), 1, "%s: %s", code, sentence)
				words, sentences = words+n, sentences+1
			}
		}
	}
	t.Logf("%d sentences, %.1f words on average", sentences, float64(words)/float64(sentences))
	require.LessOrEqual(t, float64(words)/float64(sentences), 14.0, "words a sentence, on average")
}

// sayingOnPages are the subjects that the pages speak of.
var sayingOnPages = []string{
	"answer", "area", "blank", "card", "caution", "chart", "check", "colour", "compare", "entry", "layer", "learn", "measure", "mend",
	"neutral", "outline",
	"page", "patch", "photo", "picture", "plan", "reading", "repair", "schedule", "tie", "timetable", "view", "wood",
}

// Nobody who holds a phone is told of files, flags or keys.
func TestPagesSpeakOfNoFiles(t *testing.T) {
	desk := regexp.MustCompile(`--|\b([Ff]lags?|[Ff]iles?|TOML|[Kk]eys?|piece file)\b|huewright |\[\[?[a-z_]+\]|_`)
	said := 0
	for code, text := range catalogue(t) {
		if subject, _, _ := strings.Cut(string(code), "."); !slices.Contains(sayingOnPages, subject) || code == "answer.more" {
			continue // a plan's last line in a terminal
		}
		for _, template := range []string{cmp.Or(text.Page, text.Says+text.Part), cmp.Or(text.PageHint, text.Hint)} {
			require.NotRegexp(t, desk, template, "%s", code)
			said++
		}
	}
	require.Greater(t, said, 300)
}
