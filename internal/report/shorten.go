package report

import (
	"cmp"
	"slices"
	"strings"
	"unicode/utf8"
)

const (
	mostShortened = 20 // letters of a long name that are left once it stood whole
	leastOfName   = 4  // bytes that are left of it on either side, so that it is known again
)

// shorten writes long names with "…" in their middle from here on. Names stay apart: those that would read alike keep more.
func (p *page) shorten(names []string) {
	long := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return utf8.RuneCountInString(n) <= mostShortened })
	// The longest is found first.
	slices.SortFunc(long, func(a, b string) int { return cmp.Or(cmp.Compare(len(b), len(a)), cmp.Compare(a, b)) })
	var pairs []string
	used := map[string]bool{}
	for _, name := range slices.Compact(long) {
		most := mostShortened
		for most < utf8.RuneCountInString(name) && (used[middleCut(name, most)] || slices.Contains(names, middleCut(name, most))) {
			most++
		}
		used[middleCut(name, most)] = true
		pairs = append(pairs, name, middleCut(name, most))
	}
	p.short = strings.NewReplacer(pairs...)
}

// middleCut is a name of at most so many letters, with "…" for what is left out in its middle: of whole words, where there is one.
func middleCut(name string, most int) string {
	letters := []rune(name)
	if len(letters) <= most {
		return name
	}
	head, tail := string(letters[:most/2]), string(letters[len(letters)-(most-most/2-1):])
	if i := strings.LastIndexByte(head, ' '); i >= leastOfName {
		head = head[:i]
	}
	if i := strings.IndexByte(tail, ' '); i >= 0 && len(tail)-i-1 >= leastOfName {
		tail = tail[i+1:]
	}
	return strings.TrimSpace(head) + "…" + strings.TrimSpace(tail)
}
