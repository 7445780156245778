package logcmd

import (
	"strings"

	"github.com/spf13/cobra"

	"huewright/blend"
	"huewright/internal/fault"
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
	cmd := command("coat PIECE AREA --coating NAME", "add coats that you have laid",
		"Coat keeps the coats that you have laid, with all you need to lay them again: the mix, how you put it on, the room. "+
			"\"plan --piece\" adds how they came out.",
		`huewright log coat "music cabinet" frame --coating "nut-brown wash" --paint 1 --thinner 4 --with water `+
			`--temperature 18 --dried 12`, pieceAndArea(" --coating \"brown wash\" --paint 1 --thinner 4"))
	var flags coatFlags
	f := cmd.Flags()
	f.SortFlags = false
	f.StringVar(&flags.coating.Name, "coating", "", "The `NAME` of the coating.")
	f.StringVar(&flags.coating.Kind, "kind", "wash", "The `KIND` of coating: "+strings.Join(blend.Kinds, ", ")+".")
	f.StringVar(&flags.coating.Family, "family", "", "What thins it, as a `FAMILY`: "+strings.Join(blend.Families, ", ")+".")
	f.StringVar(&flags.coating.Batch, "batch", "", "A `TEXT` that tells this tin or mix from others.")
	f.IntVar(&flags.coats, "coats", 1, "The `NUMBER` of coats.")
	f.Float64Var(&flags.paint, "paint", 1, "The `PARTS` of the coating in the mix.")
	f.Float64Var(&flags.thinner, "thinner", 0, "The `PARTS` of thinner in the mix.")
	f.StringVar(&flags.with, "with", "", "The `THINNER`, in words.")
	f.StringVar(&flags.by, "put-on", "", "The `WAY` you put it on: "+strings.Join(blend.PutOns, ", ")+
		". Default: wiped for a stain, else brushed.")
	f.Float64Var(&flags.wiped, "wiped-after", 0, "How many `MINUTES` it stood before you wiped it.")
	f.Float64Var(&flags.dried, "dried", 0, "How many `HOURS` it dried before the next step.")
	f.Float64Var(&flags.temperature, "temperature", 0, "How warm the room was, in `DEGREES` C.")
	f.BoolVar(&flags.fahrenheit, "fahrenheit", false, "The temperature is in °F.")
	f.Float64Var(&flags.humidity, "humidity", 0, "How damp the room was, in `PERCENT`.")
	note := f.String("note", "", "A `TEXT` about the coats.")
	at := f.String("at", "", "The `TIME` when you laid it. Default: now.")
	newArea := newAreaFlag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		when, err := timeFlag(*at)
		if err != nil {
			return err
		}
		coats, err := flags.laid(cmd)
		if err != nil {
			return err
		}
		return g.add(cmd, args[0], args[1], *newArea, func(w *logbook.Writer) (int64, error) {
			return w.Add(logbook.Entry{Piece: args[0], Area: args[1], At: when, Note: *note, Coats: coats})
		})
	}
	return cmd
}

// laid are the coats as the log has them.
func (f *coatFlags) laid(cmd *cobra.Command) (*logbook.Coats, error) {
	if f.coating.Name == "" {
		return nil, fault.New(fault.Use, "logcmd.no-coating")
	}
	if f.by != "" && !blend.PutOn(f.by).Known() {
		return nil, fault.New(fault.Use, "logcmd.put-on", "how", f.by, "known", blend.PutOns)
	}
	if f.coating.Family != "" && !blend.Family(f.coating.Family).Known() {
		return nil, fault.New(fault.Use, "logcmd.family", "family", f.coating.Family, "known", blend.Families)
	}
	if !(f.paint > 0) || !(f.thinner >= 0) {
		return nil, fault.New(fault.Use, "logcmd.mix", "paint", f.paint, "thinner", f.thinner)
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
