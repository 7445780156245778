// Package help lays out the help pages, for screens of 40 to 80 columns.
//
// The long text of a command is plain paragraphs, set apart by empty lines; lines are filled anew for each screen. A line that
// begins with two spaces is an item of a list: a term, two spaces or more, and what it means. Lines that begin with four
// spaces stand as they are, but for a comment after "# ", which is filled too.
package help

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// A page is a help page in the making.
type page struct {
	strings.Builder
	width int
}

// Write writes a command's page: what it does, how it is called, examples, what stands below it, its flags, and last
// what its exit codes mean, which its long text ends with.
func Write(w io.Writer, cmd *cobra.Command, width int, exitCodes string) error {
	p := &page{width: width}
	exitCodes = strings.TrimSpace(exitCodes)
	long, codes := strings.CutSuffix(strings.Trim(cmd.Long, "\n"), exitCodes)
	p.text(strings.TrimRight(long, "\n"))
	if !cmd.IsAdditionalHelpTopicCommand() {
		p.usage(cmd)
		p.examples(cmd.Example)
		p.commands("Commands", cmd.Commands(), func(c *cobra.Command) bool { return c.IsAvailableCommand() || c.Name() == "help" })
		p.commands("Help pages", cmd.Commands(), (*cobra.Command).IsAdditionalHelpTopicCommand)
		p.flags("Flags", cmd.LocalFlags())
		p.flags("Flags of other commands too", cmd.InheritedFlags())
	}
	if codes {
		p.heading("Exit codes")
		_, list, _ := strings.Cut(exitCodes, "\n")
		p.text(list)
	}
	if cmd.HasAvailableSubCommands() {
		p.WriteByte('\n')
		p.fill("", "", fmt.Sprintf("More about a command: \"%s COMMAND --help\"", cmd.CommandPath()))
	}
	if !cmd.HasParent() {
		p.fill("", "", fmt.Sprintf("More about a subject: \"%s help PAGE\"", cmd.CommandPath()))
	}
	_, err := io.WriteString(w, p.String())
	return err
}

func (p *page) heading(text string) { fmt.Fprintf(p, "\n%s:\n", text) }

// text writes paragraphs, lists and what stands as it is.
func (p *page) text(text string) {
	var paragraph []string
	end := func() {
		if len(paragraph) > 0 {
			p.fill("", "", strings.Join(paragraph, " "))
			paragraph = nil
		}
	}
	lines := strings.Split(text, "\n")
	column, stacked := p.layout(lines)
	for _, line := range lines {
		switch {
		case strings.TrimSpace(line) == "":
			end()
			p.WriteByte('\n')
		case strings.HasPrefix(line, "    "):
			end()
			p.verbatim(line)
		case strings.HasPrefix(line, "  "):
			end()
			term, meaning, _ := strings.Cut(line[2:], "  ")
			p.item(term, strings.TrimSpace(meaning), column, stacked)
		default:
			paragraph = append(paragraph, line)
		}
	}
	end()
}

// sideBySide is how many columns a screen has to have for long meanings beside long terms.
const sideBySide = 66

// layout is the column at which the meanings of a list stand, and whether they stand below their terms instead.
func (p *page) layout(lines []string) (column int, stacked bool) {
	widest, longest := 0, 0
	for _, line := range lines {
		if strings.HasPrefix(line, "  ") && !strings.HasPrefix(line, "    ") {
			term, meaning, _ := strings.Cut(line[2:], "  ")
			widest, longest = max(widest, runes(term)), max(longest, runes(strings.TrimSpace(meaning)))
		}
	}
	column = widest + 4
	return column, p.width < sideBySide && 5*column > 2*p.width && column+longest > p.width
}

// item writes a term and what it means, side by side or one below the other.
func (p *page) item(term, meaning string, column int, stacked bool) {
	const below = "      "
	beside := strings.Repeat(" ", column)
	switch {
	case meaning == "":
		p.fill("  ", "  ", term)
	case stacked:
		p.WriteString("  " + term + "\n")
		p.fill(below, below, meaning)
	case runes(term)+4 > column:
		p.WriteString("  " + term + "\n")
		p.fill(beside, beside, meaning)
	default:
		p.fill("  "+term+strings.Repeat(" ", column-2-runes(term)), beside, meaning)
	}
}

// verbatim writes a line as it is, filling a comment that takes all of it.
func (p *page) verbatim(line string) {
	indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
	if comment, ok := strings.CutPrefix(line[len(indent):], "# "); ok {
		p.fill(indent+"# ", indent+"# ", comment)
		return
	}
	p.WriteString(line + "\n")
}

// Fill is a text in lines of a width, the first after lead, the rest after indent.
func Fill(lead, indent, text string, width int) string {
	p := &page{width: width}
	p.fill(lead, indent, text)
	return p.String()
}

// fill writes words in lines of the page's width, the first after lead, the rest after indent.
func (p *page) fill(lead, indent, text string) {
	p.WriteString(lead)
	used, begun := runes(lead), false
	for _, word := range p.phrases(text) {
		if begun && used+1+runes(word) > p.width {
			p.WriteString("\n" + indent)
			used, begun = runes(indent), false
		}
		if begun {
			p.WriteByte(' ')
			used++
		}
		p.WriteString(word)
		used += runes(word)
		begun = true
	}
	p.WriteByte('\n')
}

// phrases are the words of a text, what stands in quotes as one where it is short.
func (p *page) phrases(text string) (all []string) {
	for _, word := range quotedTogether(text) {
		if runes(word) > p.width/2 {
			all = append(all, strings.Split(word, " ")...)
		} else {
			all = append(all, word)
		}
	}
	return all
}

// quotedTogether splits a text at the spaces outside quotes; of two spaces in a row, as in a file's name, one stays.
func quotedTogether(text string) (parts []string) {
	quoted := false
	for _, word := range strings.Split(strings.TrimSpace(text), " ") {
		if quoted {
			parts[len(parts)-1] += " " + word
		} else {
			parts = append(parts, word)
		}
		if strings.Count(word, `"`)%2 == 1 {
			quoted = !quoted
		}
	}
	return parts
}

// usage writes the lines by which a command is called.
func (p *page) usage(cmd *cobra.Command) {
	p.heading("Usage")
	lines := strings.Split(cmd.Use, "\n")
	before := strings.TrimSuffix(cmd.CommandPath(), cmd.Name())
	for _, line := range lines {
		line = before + strings.TrimPrefix(strings.TrimSpace(line), before)
		if cmd.HasAvailableSubCommands() {
			line += " COMMAND"
		}
		p.fill("  ", "      ", line)
	}
}

// examples writes command lines, broken where they are too long so that they can be copied as they stand; a flag and its value stay
// together where there is room.
func (p *page) examples(text string) {
	if text == "" {
		return
	}
	p.heading("Examples")
	const indent, breaking = 4, 2 // what a further line begins with, and " \\" at the end of the one before it
	for _, line := range strings.Split(text, "\n") {
		used := 0
		put := func(word string, with int) {
			switch {
			case used == 0:
				p.WriteString("  " + word)
				used = 2 + runes(word)
			case used+1+with+breaking > p.width:
				p.WriteString(" \\\n" + strings.Repeat(" ", indent) + word)
				used = indent + runes(word)
			default:
				p.WriteString(" " + word)
				used += 1 + runes(word)
			}
		}
		parts := quotedTogether(line)
		for i, part := range parts {
			with := runes(part)
			if together := i+1 < len(parts) && strings.HasPrefix(part, "--") && !strings.HasPrefix(parts[i+1], "-"); together {
				if both := with + 1 + runes(parts[i+1]); indent+both+breaking <= p.width {
					with = both
				}
			}
			put(part, with)
		}
		p.WriteByte('\n')
	}
}

func (p *page) commands(title string, all []*cobra.Command, which func(*cobra.Command) bool) {
	var lines []string
	for _, c := range all {
		if which(c) {
			lines = append(lines, "  "+c.Name()+"  "+c.Short)
		}
	}
	if len(lines) > 0 {
		p.heading(title)
		p.text(strings.Join(lines, "\n"))
	}
}

// flagColumn is where the texts of flags stand, on a screen that is wide enough.
const flagColumn = 26

func (p *page) flags(title string, flags *pflag.FlagSet) {
	if !flags.HasAvailableFlags() {
		return
	}
	p.heading(title)
	flags.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		value, text := pflag.UnquoteUsage(f)
		term := "--" + f.Name
		if f.Shorthand != "" {
			term = "-" + f.Shorthand + ", " + term
		}
		if value != "" {
			term += " " + value
		}
		if d := f.DefValue; d != "" && d != "0" && d != "false" && d != "[]" {
			text += " Default: " + d + "."
		}
		p.item(term, text, flagColumn, p.width < sideBySide)
	})
}

func runes(s string) int { return utf8.RuneCountInString(s) }
