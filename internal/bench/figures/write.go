package main

import (
	"fmt"
	"runtime"
	"slices"
	"strings"
)

const header = "# Figures\n\n" +
	"Written by `.ci/figures` from what the tests print, and, where a heading says so, by `.ci/figures -time` or `.ci/speed`. " +
	"Do not edit it:\n" +
	"the rows stand in `internal/bench/figures/figures.toml`. The tests are run with `-v` and `HUEWRIGHT_LONG=1`;\n" +
	"without it they draw fewer cases. \"Asked\" is what we set out to reach, \"–\" where nothing was\n" +
	"asked. A figure that falls short is in bold.\n"

// write is the whole file: the groups that were measured now, and the others as they stood.
func (l *list) write(part string, got *collection, before string) (string, error) {
	var missing, used []string
	text := header
	for _, g := range l.Groups {
		for _, r := range g.Figures {
			used = append(used, r.keys()...)
		}
		if g.Part != part {
			kept := section(before, g.Title)
			if kept == "" {
				kept = "\n## " + g.Title + "\n\nNot measured yet.\n"
			}
			text += kept
			continue
		}
		table, without := g.table(got)
		text += table
		missing = append(missing, without...)
	}
	if missing != nil {
		return "", fmt.Errorf("no test printed: %s", strings.Join(missing, "; "))
	}
	for _, key := range got.printed {
		if !slices.Contains(used, key) {
			return "", fmt.Errorf("figures.toml has no use for %q", key)
		}
	}
	return text, nil
}

// table is the group's heading, table and remarks, and the keys that were not printed.
func (g *group) table(got *collection) (text string, missing []string) {
	text = "\n## " + g.Title + "\n\n"
	if g.Note != "" {
		text += g.Note + "\n\n"
	}
	if g.Part != accuracy {
		text += fmt.Sprintf("Measured on %d cores, %s/%s, %s.\n\n", runtime.NumCPU(), runtime.GOOS, runtime.GOARCH, runtime.Version())
	}
	text += "| what | asked | reached | printed by |\n|---|---|---|---|\n"
	filled := func(text string) string {
		return placeholder.ReplaceAllStringFunc(text, func(p string) string {
			value, ok := got.figures[p[1:len(p)-1]]
			if !ok {
				missing = append(missing, p[1:len(p)-1])
			}
			return value
		})
	}
	var remarks []string
	for _, r := range g.Figures {
		reached := filled(r.Reached)
		if r.Remark != "" {
			remarks = append(remarks, filled(r.Remark))
			reached += fmt.Sprintf(" [%d]", len(remarks))
		}
		asked := r.Asked
		if asked == "" {
			asked = "–"
		}
		text += fmt.Sprintf("| %s | %s | %s | `%s` |\n", r.What, asked, reached, strings.ReplaceAll(r.by(), "|", `\|`))
	}
	for i, remark := range remarks {
		if i == 0 {
			text += "\n"
		}
		text += fmt.Sprintf("%d. %s\n", i+1, remark)
	}
	return text, missing
}

// section is the text of a file from a heading on, to the next or its end.
func section(file, title string) string {
	_, after, ok := strings.Cut(file, "\n## "+title+"\n")
	if !ok {
		return ""
	}
	after, _, _ = strings.Cut(after, "\n## ")
	return "\n## " + title + "\n" + strings.TrimRight(after, "\n") + "\n"
}
