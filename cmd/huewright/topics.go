package main

import "github.com/spf13/cobra"

// helpTopics are pages of help that are about no command: "huewright help photo".
//
// Note: its length is that of the pages.
func helpTopics() (all []*cobra.Command) {
	for _, t := range []struct{ name, short, text string }{
		{"photo", "how to take the photo", `Even shade, no flash, no sun on part of the piece. Turn night, HDR and filter modes off, and
set the white balance by hand where the phone lets you; take all photos the same way.

Best of all, put bare wood, test coats, the dried chip and the target in one picture, close
together. Where that cannot be, leave in every picture a slip of printer paper and one
untouched spot of each wood, the dark one too: they tie the photos ("huewright plan --help",
[[tie]]).

Light that is stronger on one side costs more than any reference gives back: three or more
slips of one paper round the piece even it.

Wood shines along its grain. Stand so that you see no glare, and look again from the other
side: what changes is shine and not colour.`},
		{"chart", "what a colour chart is for", `A 24-patch chart, four rows of six, flat beside the wood, makes colours true: it is found by
itself, any way round. A grey card or a sheet of white paper takes out light and exposure, and
leaves the camera's own colours in. With neither, colours hold only beside others of the same
photo, which is enough for counts of coats when all is in one picture.

The chart's "each predicted by the others" is the error to trust: the fit's own is flattering.
Charts fade; values measured on yours go before the published ones (chart_values).`},
		{"test-coats", "how to lay a test coat, and what it tells",
			`Lay one coat on each wood, one light and one dark, as you will lay it on the piece: the same
mix, brush or rag, sanding and sealing. Leave half of the spot bare, on straight grain. Let it
dry, photograph both halves in one picture, and outline them as ground and result.

One coat on two woods, one pale and one dark red, is as good as a black-and-white card. A chip,
the paint so thick that nothing shows through, tells where many coats lead. With both, a count
is right about nine times in ten on measured paints; with a chip alone it is a guess.

What a wiped coat leaves behind has no usual figure: test it, with two coats if you can.`},
		{"reading-a-plan", "what the figures of a plan mean",
			`L* is lightness, 0 to 100; a* is red, or green below 0; b* is yellow, or blue below 0. ΔE00 is
the size of a difference: below 1 hardly to be seen side by side, 2 counts as reached unless
you say otherwise, above 6 two woods.

± behind a colour holds 95 times in 100. A count's range, and ranges of what is left, hold 80
times in 100. "Within tolerance in 36 of 100" is the chance of ending there.

"Grain kept" is how much of the contrast between the light and the dark of the grain is left.
Coats that hide bring woods together by making them paint: the balanced plan keeps half.

"Stop and look" is the coat after which the next may go too far. A coat cannot be taken off.`},
		{"limits", "what is refused, and how to raise it",
			`A slip of the hand, or a file of somebody else's, is refused before it takes hours or all memory.
Each limit has a name, and "--limit NAME=N", before or after a command, raises or lowers it:

  megapixels  that a photo may declare: 120, and 64 for HEIC, AVIF and WebP
  megabytes   that a photo's file may have: 1300
  photos      of a piece: 100
  areas       of a piece or a photo, and test coats of a coating: 100
  coatings    of a piece: 20; the work grows with their square
  letters     of a name: 200
  seconds     that a command may take: as long as it does

An outline has at most 2000 corners, and a piece file at most 4 MB. A decoded photo takes one and a
half to three bytes a pixel, a deep one eight.`},
		{"safety", "what can hurt", `The label, the safety data sheet and your local rules come before anything said here; lead and
asbestos are work for those licensed for it.

Lead: take anything finished before 1978 to hold it, in varnish too. Test every layer. No dry
  sanding and no heat gun on it; wet methods, a HEPA vacuum; children and pregnant people away.
Dust: wood dust causes cancer. Extraction, and a mask that fits.
Rags with drying oil heat up by themselves: lay them out singly, outside, until hard.
Strippers with methylene chloride have killed: do not use them. Gloves, goggles, air for others.
Spraying: organic-vapour cartridge with P100, moving air, no flame, pilot light or spark.
Bleach: never mix one with another, nor laundry bleach with acid. Neutralise as the label says.
Steel wool with water-borne products makes black stains on wood with tannin: synthetic pads.

"huewright timetable" names those that matter for a piece.`},
	} {
		all = append(all, &cobra.Command{Use: t.name, Short: t.short, Long: t.text})
	}
	return all
}
