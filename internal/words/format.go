package words

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"huewright/internal/fault"
)

// fill puts values into a template:
//
//	{name}                                    a text as it is, a number in as few digits as it has, a note as it says itself
//	{name, number, 1}                         with that many digits after the point
//	{name, percent}                           a share of 1: 12 %; less than 1 % where it would round to none
//	{names, list} {names, or}                 a, b and c; a, b or c
//	{n, plural, one {# coat} other {# coats}} by number; =0 {none} and the like come first
//	{kind, select, wash {…} other {…}}        by text
//	{t, temperature} {v, volume} {a, area} {l, length} {d, duration}   in the speaker's units, of °C, ml, m², mm and hours
//	{@spirits}                                a word of the trade, of the speaker's vocabulary
//
// A brace itself is written '{'. What cannot be filled in stays as it is written; a test finds it.
func (s Speaker) fill(template string, values fault.Values) string {
	var b strings.Builder
	for template != "" {
		i := strings.IndexAny(template, "'{")
		if i < 0 {
			break
		}
		b.WriteString(template[:i])
		template = template[i:]
		if strings.HasPrefix(template, "'{'") {
			b.WriteByte('{')
			template = template[3:]
			continue
		}
		if template[0] == '\'' {
			b.WriteByte('\'')
			template = template[1:]
			continue
		}
		inside, rest, closed := braces(template)
		if !closed {
			break
		}
		b.WriteString(s.placeholder(inside, values))
		template = rest
	}
	b.WriteString(template)
	return b.String()
}

// braces cuts what the leading brace of a text encloses from what follows it.
func braces(text string) (inside, rest string, closed bool) {
	depth := 0
	for i, r := range text {
		switch r {
		case '{':
			depth++
		case '}':
			if depth--; depth == 0 {
				return text[1:i], text[i+1:], true
			}
		}
	}
	return "", "", false
}

func (s Speaker) placeholder(inside string, values fault.Values) string {
	name, rest, _ := strings.Cut(inside, ",")
	format, options, _ := strings.Cut(strings.TrimSpace(rest), ",")
	name, format, options = strings.TrimSpace(name), strings.TrimSpace(format), strings.TrimSpace(options)
	if term, isTerm := strings.CutPrefix(name, "@"); isTerm {
		return s.term(term)
	}
	value, known := values[name]
	if !known {
		return "{" + inside + "}"
	}
	switch format {
	case "":
		return s.plain(value)
	case "list":
		return s.list(value, "and")
	case "or":
		return s.list(value, "or")
	case "select":
		return s.fill(choose(options, s.plain(value)), values)
	}
	x, isNumber := number(value)
	if !isNumber {
		return "{" + inside + "}"
	}
	switch format {
	case "number":
		digits, _ := strconv.Atoi(options)
		return decimal(x, digits)
	case "percent":
		if text := decimal(100*x, 0); text != "0" || x <= 0 {
			return text + " %"
		}
		return "less than 1 %"
	case "plural":
		chosen := choose(options, "="+s.plain(value), pluralRule(x))
		return s.fill(strings.ReplaceAll(chosen, "#", s.plain(value)), values)
	}
	if text, known := s.quantity(format, x); known {
		return text
	}
	return "{" + inside + "}"
}

// pluralRule is the plural category of a number in English, by the rules of Unicode CLDR: one for 1, other for the rest.
func pluralRule(x float64) string {
	if x == 1 {
		return "one"
	}
	return "other"
}

// choose is the text of the first key that is among options, "key {text} key {text} …"; that of other where none is.
func choose(options string, keys ...string) string {
	texts := map[string]string{}
	for {
		key, rest, more := strings.Cut(options, "{")
		if !more {
			break
		}
		inside, after, _ := braces("{" + rest)
		texts[strings.TrimSpace(key)] = inside
		options = after
	}
	for _, key := range append(keys, "other") {
		if text, known := texts[key]; known {
			return text
		}
	}
	return ""
}

// decimal writes a number with digits after the point, and a true minus; never minus nought.
func decimal(x float64, digits int) string {
	text := strconv.FormatFloat(x, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", "−", 1)
}

// number is a value as a number; notes that were stored come back with all numbers as float64.
func number(value any) (float64, bool) {
	switch x := value.(type) {
	case float64:
		return x, true
	case int:
		return float64(x), true
	case int64:
		return float64(x), true
	}
	return math.NaN(), false
}

func (s Speaker) plain(value any) string {
	switch v := value.(type) {
	case string:
		return clean(v)
	case fault.Note:
		return s.Say(v)
	case map[string]any: // a note that was stored
		code, _ := v["code"].(string)
		values, _ := v["values"].(map[string]any)
		return s.Say(fault.Note{Code: fault.Code(code), Values: values})
	}
	if x, isNumber := number(value); isNumber {
		return strings.Replace(strconv.FormatFloat(x, 'f', -1, 64), "-", "−", 1)
	}
	return clean(fmt.Sprint(value))
}

// list joins names or notes: a, b and c.
func (s Speaker) list(value any, last string) string {
	var all []string
	switch v := value.(type) {
	case []string:
		for _, x := range v {
			all = append(all, clean(x))
		}
	case []fault.Note:
		all = s.All(v)
	case []any:
		for _, x := range v {
			all = append(all, s.plain(x))
		}
	default:
		return s.plain(value)
	}
	if n := len(all); n > 1 {
		return strings.Join(all[:n-1], ", ") + " " + last + " " + all[n-1]
	}
	return strings.Join(all, "")
}
