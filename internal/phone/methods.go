package phone

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// Template files of the standard library call methods by names that are known when they run alone, so that the linker keeps every
// exported method of every type: a sixth of the program. Where it is told the names it keeps the methods of those names.

const (
	callsAny   = "ptr.MethodByName(fieldName)" // in text/template/exec.go, once
	callsNamed = "methodNamed(ptr, fieldName)"
)

// onlyNamedMethods writes into work the standard library's text/template as it calls only methods that the program's own templates
// name, and returns the file that has Go build with it (the build's flag overlay).
func onlyNamedMethods(ctx context.Context, goroot, work string) (string, error) {
	names, err := namedInTemplates(ctx)
	if err != nil {
		return "", err
	}
	library := filepath.Join(goroot, "src", "text", "template", "exec.go")
	source, err := os.ReadFile(library)
	if err != nil {
		return "", err
	}
	if source, err = namingMethods(source, names); err != nil {
		return "", err
	}
	changed, overlay := filepath.Join(work, "exec.go"), filepath.Join(work, "overlay.json")
	return overlay, errors.Join(
		os.WriteFile(changed, source, 0o644),
		os.WriteFile(overlay, []byte(asJSON(map[string]any{"Replace": map[string]string{library: changed}})), 0o644))
}

// namingMethods has the source of text/template call methods of the given names alone.
func namingMethods(source []byte, names []string) ([]byte, error) {
	if bytes.Count(source, []byte(callsAny)) != 1 {
		return nil, fmt.Errorf("text/template of this Go does not call %s once: see how it calls methods now", callsAny)
	}
	source = bytes.Replace(source, []byte(callsAny), []byte(callsNamed), 1)
	source = append(source, "\nfunc methodNamed(v reflect.Value, name string) reflect.Value {\n\tswitch name {\n"...)
	for _, name := range names {
		source = fmt.Appendf(source, "\tcase %q:\n\t\treturn v.MethodByName(%q)\n", name, name)
	}
	return append(source, "\t}\n\treturn reflect.Value{}\n}\n"...), nil
}

var (
	action = regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	member = regexp.MustCompile(`\.([A-Z]\w*)`)
)

// namedInTemplates returns, in order, every name that a template of the program gives to a field or a method.
func namedInTemplates(ctx context.Context) ([]string, error) {
	cmd := exec.CommandContext(ctx, "go", "list", "-deps", "-tags", Tags, "-json=Dir,EmbedFiles", program)
	cmd.Env = inBrowser()
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	names := map[string]bool{}
	for list := json.NewDecoder(bytes.NewReader(out)); list.More(); {
		var p struct {
			Dir        string
			EmbedFiles []string
		}
		if err := list.Decode(&p); err != nil {
			return nil, err
		}
		for _, file := range p.EmbedFiles {
			if !strings.HasSuffix(file, ".html") {
				continue
			}
			text, err := os.ReadFile(filepath.Join(p.Dir, file))
			if err != nil {
				return nil, err
			}
			for _, a := range action.FindAll(text, -1) {
				for _, m := range member.FindAllSubmatch(a, -1) {
					names[string(m[1])] = true
				}
			}
		}
	}
	return slices.Sorted(maps.Keys(names)), nil
}
