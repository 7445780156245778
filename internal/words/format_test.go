package words

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
)

func TestFill(t *testing.T) {
	reason := fault.Say("say.text", "text", "it rained")
	values := fault.Values{
		"name": "frame", "n": 3, "one": 1, "none": 0, "x": 2.345, "share": 0.56, "speck": 0.0004, "kind": "wash",
		"names": []string{"a", "b", "c"},
		"why":   reason, "all": []fault.Note{reason, reason}, "t": 21.0, "v": 250.0, "big": 1300.0, "a": 0.034, "big-area": 2.5, "l": 12.7,
		"h": 0.5, "d": 72.0,
		"minus": -0.04, "hostile": "fr\x1b[31mame\u202e\n",
	}
	for _, c := range []struct{ template, metric, us string }{
		{"plain, as it's written", "plain, as it's written", ""},
		{"{name}: {n} of {x}", "frame: 3 of 2.345", ""},
		{"{x, number, 1} {x, number, 0} {minus, number, 1}", "2.3 2 0.0", ""},
		{"{share, percent}", "56 %", ""},
		{"{speck, percent}, {none, percent}", "less than 1 %, 0 %", ""},
		{"{names, list}; {names, or}; {name, list}", "a, b and c; a, b or c; frame", ""},
		{"{n, plural, one {# coat} other {# coats}}", "3 coats", ""},
		{"{one, plural, one {# coat} other {# coats}}", "1 coat", ""},
		{"{none, plural, =0 {no coat} one {# coat} other {# coats}}", "no coat", ""},
		{"{n, plural, one {# coat on {name}} other {# coats on {name}}}", "3 coats on frame", ""},
		{"{kind, select, wash {thin paint} other {a coating}}", "thin paint", ""},
		{"{name, select, wash {thin paint} other {a coating}}", "a coating", ""},
		{"because {why}; {all, list}", "because it rained; it rained and it rained", ""},
		{"{t, temperature}", "21 °C", "70 °F"},
		{"{v, volume}, {big, volume}", "250 ml, 1.3 L", "8.5 fl oz, 1.4 qt"},
		{"{a, area}, {big-area, area}, {none, area}", "340 cm², 2.5 m², 0 cm²", "53 in², 27 ft², 0 in²"},
		{"{l, length}", "13 mm", "0.50 in"},
		{"{h, duration}, {d, duration}", "30 minutes, 3 days", ""},
		{"{@spirits}", "white spirit", "mineral spirits"},
		{"{hostile}", "fr[31mame ", ""},
		{"a '{' stays", "a { stays", ""},
		{"{missing}", "{missing}", ""},
	} {
		require.Equal(t, c.metric, Speaker{}.fill(c.template, values), c.template)
		if c.us != "" {
			require.Equal(t, c.us, Speaker{US: true}.fill(c.template, values), c.template)
		}
	}
}

// A note that was stored says the same when it is read again, and a sentence that an earlier version stored is said as it was.
func TestStoredNotesSayTheSame(t *testing.T) {
	note := fault.Say("say.text", "text", fault.Say("say.text", "text", "it rained")).In(fault.Place{Area: "frame"})
	data, err := json.Marshal([]fault.Note{note})
	require.NoError(t, err)
	var back []fault.Note
	require.NoError(t, json.Unmarshal(data, &back))
	require.Equal(t, "frame: it rained", Speaker{}.Say(note))
	require.Equal(t, Speaker{}.Say(note), Speaker{}.Say(back[0]))

	require.NoError(t, json.Unmarshal([]byte(`["the light changes"]`), &back))
	require.Equal(t, "the light changes", Speaker{}.Say(back[0]))
}

// A page does not speak of the line of a file; a terminal does.
func TestPlacesByVoice(t *testing.T) {
	n := fault.Say("say.text", "text", "No.").In(fault.Place{File: "cabinet.toml", Line: 3, Column: 7, Area: "frame"})
	require.Equal(t, "cabinet.toml:3:7: frame: No.", Speaker{}.Say(n))
	require.Equal(t, "frame: No.", Speaker{Voice: Page}.Say(n))
}
