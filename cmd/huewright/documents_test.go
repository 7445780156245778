package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	inBackticks = regexp.MustCompile("`([^`\n]+)`")
	ownPath     = regexp.MustCompile(`^(?:internal|colour|blend|imageio|cmd|testdata|\.ci)(?:/[\w.*-]+)*$`)
	ownName     = regexp.MustCompile(`^([a-z]\w*)\.([A-Za-z]\w*)(?:\.([A-Za-z]\w*))?$`)
	packageArg  = regexp.MustCompile(`go [a-z]+ \./([a-z][\w/]*)`)
	linkedFile  = regexp.MustCompile(`\]\(([^)#:]+)\)`)
)

// Every path and every pkg.Name that these documents mention is in the tree.
func TestDocumentsNameWhatIsThere(t *testing.T) {
	folders := map[string]string{} // of each package, by its last name
	for pkg := range arrows {
		folders[path.Base(pkg)] = pkg
	}
	for _, page := range []string{"DEVELOPERS.md", "README.md", sourcesPage} {
		text := readPage(t, page)
		paths := linkedFile.FindAllStringSubmatch(text, -1)
		for i := range paths {
			paths[i][1] = path.Join(path.Dir(page), paths[i][1])
		}
		paths = append(paths, packageArg.FindAllStringSubmatch(text, -1)...)
		for _, m := range inBackticks.FindAllStringSubmatch(text, -1) {
			if ownPath.MatchString(m[1]) {
				paths = append(paths, m)
			}
			name := ownName.FindStringSubmatch(m[1])
			if name == nil || folders[name[1]] == "" {
				continue
			}
			there := declared(t, folders[name[1]])
			assert.Truef(t, there[strings.Trim(name[2]+"."+name[3], ".")], "%s: there is no %s in %s", page, m[1], folders[name[1]])
		}
		for _, m := range paths {
			found, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(m[1])))
			require.NoError(t, err)
			assert.NotEmptyf(t, found, "%s: there is no %s", page, m[1])
		}
	}
}

// DEVELOPERS.md draws every package, and none before what it imports.
func TestDevelopersDrawTheHouse(t *testing.T) {
	text := readPage(t, "DEVELOPERS.md")
	line := map[string]int{} // of the drawing, by package
	for i, l := range strings.Split(text, "\n") {
		fields := strings.Fields(l)
		if strings.HasPrefix(l, "    ") && len(fields) > 0 && line[fields[0]] == 0 {
			line[fields[0]] = i + 1
		}
	}
	for pkg, imported := range arrows {
		if line[pkg] == 0 {
			assert.Truef(t, strings.Contains(text, "`"+pkg+"`"), "DEVELOPERS.md neither draws nor names %s", pkg)
			continue
		}
		for _, other := range imported {
			if line[other] != 0 {
				assert.Lessf(t, line[other], line[pkg], "DEVELOPERS.md draws %s before %s, which it imports", pkg, other)
			}
		}
	}
}

func readPage(t *testing.T, page string) string {
	text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(page)))
	require.NoError(t, err)
	return string(text)
}

// declared are the names that a package declares at its top level, and as Type.Name its methods and fields.
func declared(t *testing.T, pkg string) map[string]bool {
	all := map[string]bool{}
	paths, err := filepath.Glob(filepath.Join(root, filepath.FromSlash(pkg), "*.go"))
	require.NoError(t, err)
	for _, p := range paths {
		file, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, decl := range file.Decls {
			switch d := decl.(type) {
			case *ast.FuncDecl:
				all[receiver(d)+d.Name.Name] = true
			case *ast.GenDecl:
				for _, spec := range d.Specs {
					addSpec(all, spec)
				}
			}
		}
	}
	return all
}

// receiver is the type of a method's receiver with a dot, "" for a function.
func receiver(d *ast.FuncDecl) string {
	if d.Recv == nil {
		return ""
	}
	of := d.Recv.List[0].Type
	if pointer, ok := of.(*ast.StarExpr); ok {
		of = pointer.X
	}
	if name, ok := of.(*ast.Ident); ok {
		return name.Name + "."
	}
	return "?." // of a generic type
}

func addSpec(all map[string]bool, spec ast.Spec) {
	switch s := spec.(type) {
	case *ast.ValueSpec:
		for _, name := range s.Names {
			all[name.Name] = true
		}
	case *ast.TypeSpec:
		all[s.Name.Name] = true
		if of, ok := s.Type.(*ast.StructType); ok {
			for _, field := range of.Fields.List {
				for _, name := range field.Names {
					all[s.Name.Name+"."+name.Name] = true
				}
			}
		}
	}
}
