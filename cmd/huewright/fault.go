package main

import (
	"io"

	"huewright/cmd/huewright/internal/help"
	"huewright/internal/fault"
	"huewright/internal/terminal"
	"huewright/internal/words"
)

// Exit codes are part of the interface: scripts rely on them.
const (
	exitDone     = 0
	exitFault    = 1 // something went wrong that is not the user's doing
	exitWrongUse = 2
	exitPhoto    = 3 // a photo cannot be used
	exitRelative = 4 // done, but with --strict the figures are only relative
	exitLog      = 5 // the log cannot be used
	exitTooSlow  = 6 // not done within --limit seconds
	exitPartly   = 7 // done, but for what was damaged or refused: a backup, an import
	exitEnded    = 130
)

// exitCodesHelp ends the help of every command.
const exitCodesHelp = `

Exit codes:
  0    done
  1    something failed that you could not help
  2    wrong use: a flag, an outline or the piece file
  3    a photo cannot be used, or one of several
  4    done, but with --strict: nothing in a photo tells the true colours
  5    the log cannot be used
  6    not done within --limit seconds
  7    done, but something that is damaged or makes no sense was left out
  130  interrupted`

var (
	// errRelative is returned with --strict after a result that was written whole.
	errRelative = fault.New(fault.Use, "use.relative")
	// errSomePhotos is returned after a result in which some photos are missing.
	errSomePhotos  = fault.New(fault.Photo, "use.some-photos")
	errTooSlow     = fault.New(fault.Slow, "use.too-slow")
	errInterrupted = fault.New(fault.Use, "use.interrupted")
)

// settle ends a command: with an error when its figures are relative only and, with --strict, that is not good enough.
func settle(strict, relative bool) error {
	if strict && relative {
		return errRelative
	}
	return nil
}

func exitCode(err error) int {
	switch {
	case err == nil:
		return exitDone
	case fault.Is(err, "logbook.incomplete", "logbook.import-partly"):
		return exitPartly
	case fault.Is(err, "use.relative"):
		return exitRelative
	case fault.Is(err, "use.interrupted"):
		return exitEnded
	case fault.KindOf(err) == fault.Use:
		return exitWrongUse
	case fault.KindOf(err) == fault.Photo:
		return exitPhoto
	case fault.KindOf(err) == fault.Log:
		return exitLog
	case fault.KindOf(err) == fault.Slow:
		return exitTooSlow
	}
	return exitFault
}

// printFault writes an error once, with the program's name and what to do about it. On a screen it is filled to its width; a script
// gets it in one line each.
func printFault(w *terminal.Writer, err error) {
	says, hint := words.Speaker{}.Fault(err)
	fill := func(lead, text string) string { return lead + text + "\n" }
	if w.Screen() != nil {
		fill = func(lead, text string) string { return help.Fill(lead, "  ", text, w.Width()) }
	}
	text := fill("huewright: ", says)
	if hint != "" {
		text += fill("  hint: ", hint)
	}
	_, _ = io.WriteString(w, text) // where errors cannot be told, nothing can
}
