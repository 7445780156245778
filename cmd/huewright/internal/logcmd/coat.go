package logcmd

import (
	"strings"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
)

// coatFlags are those that tell of the coats themselves.
type coatFlags struct {
	coating                             logbook.Coating
	coats                               int
	paint, thinner                      float64
	with, by                            string
	wiped, dried, temperature, humidity float64
	fahrenheit                          bool
}

func (g *group) coat() *cobra.Command {
	cmd := command("coat PIECE AREA --coating NAME", "add coats that were laid",
		"Coat adds coats that were laid on a piece, with all that is needed to lay them again: the mix, how\n"+
			"they were put on and wiped, the weather in the room. \"plan --piece\" adds what they came out as.",
		`  huewright log coat "music cabinet" frame --coating "brown wash" --paint 1 --thinner 4 --with water \
      --put-on brushed --temperature 18 --humidity 55 --dried 12`, pieceAndArea(" --coating \"brown wash\" --paint 1 --thinner 4"))
	var flags coatFlags
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.coating.Name, "coating", "", "what it is `CALLED`")
	f.StringVar(&flags.coating.Kind, "kind", "wash", "`KIND`: "+strings.Join(blend.Kinds, ", "))
	f.StringVar(&flags.coating.Family, "family", "", "what it is thinned with, as a `FAMILY`: "+strings.Join(blend.Families, ", "))
	f.StringVar(&flags.coating.Batch, "batch", "", "what tells this tin or mix from others, `TEXT`")
	f.IntVar(&flags.coats, "coats", 1, "how `MANY`")
	f.Float64Var(&flags.paint, "paint", 1, "`PARTS` of the coating in the mix")
	f.Float64Var(&flags.thinner, "thinner", 0, "`PARTS` of what it was thinned with")
	f.StringVar(&flags.with, "with", "", "`WHAT` it was thinned with")
	f.StringVar(&flags.by, "put-on", "", "`HOW` it was put on: "+strings.Join(blend.PutOns, ", "))
	f.Float64Var(&flags.wiped, "wiped-after", 0, "`MINUTES` it stood before it was wiped")
	f.Float64Var(&flags.dried, "dried", 0, "`HOURS` it dried before the next step")
	f.Float64Var(&flags.temperature, "temperature", 0, "of the room, °C, `DEGREES`")
	f.BoolVar(&flags.fahrenheit, "fahrenheit", false, "the temperature is in °F")
	f.Float64Var(&flags.humidity, "humidity", 0, "of the room, relative, `PER-CENT`")
	note := f.String("note", "", "`TEXT` about it")
	at := f.String("at", "", "`TIME` it was laid; without it now")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		coats, err := flags.laid(cmd)
		if err != nil {
			return err
		}
		return g.add(cmd, args[1], func(w *logbook.Writer) (int64, error) {
			return w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: *note, Coats: coats})
		})
	}
	return cmd
}

// laid are the coats as the log has them.
func (f *coatFlags) laid(cmd *cobra.Command) (*logbook.Coats, error) {
	if f.coating.Name == "" {
		return nil, shell.WrongUse("as in --coating \"brown wash\"", "no coating is named")
	}
	if f.by != "" && !blend.PutOn(f.by).Known() {
		return nil, shell.WrongUse("say one of "+strings.Join(blend.PutOns, ", "), "%q is no way to put a coating on", f.by)
	}
	if f.coating.Family != "" && !blend.Family(f.coating.Family).Known() {
		return nil, shell.WrongUse("say one of "+strings.Join(blend.Families, ", "), "%q is no family", f.coating.Family)
	}
	if !(f.paint > 0) || !(f.thinner >= 0) {
		return nil, shell.WrongUse("as in --paint 1 --thinner 4", "a mix of %v to %v parts", f.paint, f.thinner)
	}
	f.coating.PutOn = f.by
	switch {
	case f.by != "":
	case f.coating.Kind == "stain":
		f.coating.PutOn = string(blend.Wiped)
	default:
		f.coating.PutOn = string(blend.Brushed)
	}
	c := &logbook.Coats{Coating: f.coating, Coats: f.coats, Share: f.paint / (f.paint + f.thinner), ThinnedWith: f.with, LaidBy: f.by}
	if f.fahrenheit {
		f.temperature = (f.temperature - 32) / 1.8
	}
	for _, given := range []struct {
		flag string
		from float64
		to   **float64
	}{
		{"wiped-after", f.wiped, &c.WipedAfter}, {"dried", f.dried, &c.Dried},
		{"temperature", f.temperature, &c.Temperature}, {"humidity", f.humidity, &c.Humidity},
	} {
		if cmd.Flags().Changed(given.flag) {
			*given.to = &given.from
		}
	}
	return c, nil
}
