package main

import (
	"github.com/spf13/cobra"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
)

// A coatsFlag is coats that somebody names, to see what comes of them; "" for none.
type coatsFlag string

// register says what is done with the coats.
func (f *coatsFlag) register(cmd *cobra.Command, does string) {
	cmd.Flags().StringVar((*string)(f), "coats", "", does+": an area, = and a number, as in \"frame=1 panel=3\". "+
		"Of several coatings name each, the undermost first: \"panel=2 pale wash + 1 glaze\". An area that is left out keeps the "+
		"`COATS` of the plan.")
}

// fault adds the name that was probably meant to a fault about a name in the coats.
func (f coatsFlag) fault(err error) error {
	at := fault.Of(err)
	if f == "" || at == nil || !fault.Is(err, "use.coats-area", "use.coats-coating") {
		return err
	}
	return shell.DidYouMean(at, at.Values["name"].(string), at.Values["names"].([]string))
}
