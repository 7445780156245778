package piece

import (
	"regexp"
	"strings"

	"huewright/internal/fault"
)

var (
	decimalComma = regexp.MustCompile(`^[+-]?\d+,\d+$`)
	startsNumber = regexp.MustCompile(`^[+-]?[\d.]`)
	yesOrNo      = regexp.MustCompile(`(?i)^(yes|no|true|false|on|off)\b`)
	insideQuotes = regexp.MustCompile(`"[^"]*"|'[^']*'`)
)

// syntaxFault is the fault of a place that is no TOML, by what is usual for people to write there instead.
func syntaxFault(data []byte, line, column int) *fault.Fault {
	lines := strings.Split(string(data), "\n")
	if line < 1 || line > len(lines) {
		return fault.New(fault.Use, "piece.ends-early")
	}
	f := lineFault(lines[line-1])
	for above := line - 1; above > 0; above-- {
		text := lines[above-1]
		if opens := leftOpen(text); opens >= 0 {
			f, line, column = fault.New(fault.Use, "piece.open-bracket"), above, opens+1
		}
		if strings.TrimSpace(text) != "" {
			break
		}
	}
	f.Place.Line, f.Place.Column = line, column
	return f
}

// leftOpen is the index of the first bracket that a line opens after its equals sign, where it opens more than it closes; else -1.
func leftOpen(text string) int {
	bare := insideQuotes.ReplaceAllStringFunc(text, func(quoted string) string { return strings.Repeat(" ", len(quoted)) })
	_, value, assigned := strings.Cut(bare, "=")
	if !assigned || strings.Count(value, "[")+strings.Count(value, "{") <= strings.Count(value, "]")+strings.Count(value, "}") {
		return -1
	}
	return len(bare) - len(value) + strings.IndexAny(value, "[{")
}

// lineFault is the fault of a line.
func lineFault(text string) *fault.Fault {
	text = strings.TrimSpace(text)
	key, value, assigned := strings.Cut(text, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	switch {
	case strings.ContainsAny(text, "“”„‟‘’"):
		return fault.New(fault.Use, "piece.curved-quotes")
	case strings.Contains(text, `\`):
		return fault.New(fault.Use, "piece.backslash")
	case strings.ContainsAny(insideQuotes.ReplaceAllString(text, ""), `"'`):
		return fault.New(fault.Use, "piece.open-quote")
	case strings.HasPrefix(text, "["):
		return fault.New(fault.Use, "piece.open-heading")
	case text == "" || leftOpen(text) >= 0:
		return fault.New(fault.Use, "piece.open-bracket")
	case !assigned:
		return fault.New(fault.Use, "piece.no-equals")
	case key == "":
		return fault.New(fault.Use, "piece.no-key")
	case value == "":
		return fault.New(fault.Use, "piece.no-value", "key", key)
	case decimalComma.MatchString(value):
		return fault.New(fault.Use, "piece.decimal-comma", "key", key, "point", strings.Replace(value, ",", ".", 1))
	case yesOrNo.MatchString(value):
		return fault.New(fault.Use, "piece.yes-no", "key", key)
	case startsNumber.MatchString(value):
		return fault.New(fault.Use, "piece.more-than-number", "key", key, "value", value)
	case strings.ContainsAny(value[:1], `[{`):
		return fault.New(fault.Use, "piece.no-comma")
	case value[0] == '"' || value[0] == '\'':
		return fault.New(fault.Use, "piece.after-quotes", "key", key)
	}
	return fault.New(fault.Use, "piece.no-quotes", "key", key, "value", value)
}
