package main

import "github.com/spf13/cobra"

// helpTopics are pages of help that are about no command: "huewright help photo".
//
// Note: its length is that of the pages.
func helpTopics() (all []*cobra.Command) {
	for _, t := range []struct{ name, short, text string }{
		{"photo", "how to take the photo", `
Take the photo in even shade. Use no flash, and let no sun fall on part of the piece. Turn off night, HDR and filter
modes. Set the white balance by hand if your phone lets you. Take all photos the same way.

Put everything into one picture if you can: bare wood, test coats, the dried chip and the target, close together. If you
need several pictures, leave the same things in each. Printed slips are best: see "huewright slips". They are found by
themselves. Without a printer, leave a slip of printer paper and an untouched spot of each wood, and mark them as ties:
see [[tie]] in "huewright help piece-file".

Light that is stronger on one side spoils colours, and no chart makes up for it. Tape three or more slips of the same
paper round the piece to even it out.

A raw photo holds what the sensor saw, before the camera made it look well. In the shade, with one slip of white paper
beside the wood, its colours are truer than those of a JPEG. Save it as DNG, uncompressed or without losses. Many phones
can, once you turn on raw photos in the camera's settings. Convert a camera's own kind of raw to DNG first.

Wood shines along its grain. Stand where you see no glare. Then look from the other side: what changes is shine, not
colour.`},
		{"chart", "what a colour chart is for", `
A colour chart makes the colours true. Use a chart of 24 patches, four rows of six, and lay it flat beside the wood.
Huewright finds it by itself, whichever way round it lies.

A grey card or white paper corrects the light and the exposure. Your camera's own colours stay in. With neither, you can
only compare colours within the same photo. That is enough to count coats if everything is in one picture.

Huewright works out each patch from all the others and says how far off it is. Go by that figure. The error of the fit
itself always looks better than it is.

Charts fade. If somebody has measured your own chart, give those values as chart_values.`},
		{"outlines", "how to mark a part of a photo", `
An outline marks a part of a photo. Count it in pixels from the top left corner of the upright photo.

  "x,y,w,h"        a rectangle: left edge, top edge, width, height
  "x,y x,y x,y …"  a shape: its corners in order, three or more

Join several parts with a semicolon. After "; not" comes a hole:

  "0,0,40,90; 60,0,40,90; not 10,10,5,5"

Most picture viewers show the pixel under the pointer, and "huewright measure PHOTO --overlay grid.png" draws a grid on the
photo. In the browser you draw outlines with a finger instead: see "huewright serve --help".

To measure an area you need not outline all of it. Take a good part, away from edges, glare, knots and fittings.

You need not outline at all: "huewright measure PHOTO --tap frame=820,400" takes all of the wood at that place. Add
--overlay to see what was taken, and --write to begin a piece file with it. In a piece file, tap = "820,400" does the
same in the place of an outline.`},
		{"words", "what the words mean", `
The piece and its photos:

  piece        the furniture, as one job
  area         a part of the piece that you colour as a whole, such as the frame
  target       the colour that an area is to come to
  repair       a filled or touched-up spot
  reference    what tells a photo's true colours: a chart, a grey card or white paper
  tie          what stays the same in several photos
  reading      a measured colour with its ±

Coatings:

  wash         thinned paint; a washcoat is something else, a very thin sealer
  glaze        colour that you work by hand between two layers of finish
  toner        colour in sprayed finish
  stain        pigment or dye for bare wood
  dye          colour that is dissolved and clear
  paint        colour that hides
  chip         a dried blob of a coating, so thick that nothing shows through
  test coat    one coat on a spot, beside the bare wood
  ground       what a coat lies on
  batch        one tin or one mix of a coating

The surface before a coat:

  bare         wood without anything on it
  sealed       wood with a thin sealer on it
  clear-coated  wood under a clear finish
  non-absorbing  epoxy, filler, glue, and veneer that is sanded through
  porous       putty and end grain, which take up more than the wood`},
		{"test-coats", "how to lay a test coat, and what it tells", `
A test coat shows what your coating does to your wood. Lay one coat on each wood, the pale one and the dark one. Work
as you will on the piece: the same mix, brush or rag, sanding and sealing. Leave half of the spot bare, on straight
grain. Let it dry. Photograph both halves in one picture, and outline them as ground and result.

One coat on a pale wood and one on a dark red wood tell as much as a black-and-white card. A chip tells where many coats
lead: it is a blob of the coating, so thick that nothing shows through. With both, a count is right about nine times in
ten on measured paints. With a chip alone it is a guess.

Two boards tell more than one, since no two are laid alike. Give each a name in the piece file: board = "A". So does a
strip: coat the whole board once, let it dry, leave a third bare of the next coat, and a third of the one after that.
You then see 1, 2 and 3 coats side by side. Say strip = true, since the steps share their first coats.

Bare sapwood takes up more than heartwood. Test both, and give each a name of its own as wood.

Nobody can say beforehand how much a wiped coat leaves behind. Test it, with two coats if you can.`},
		{"piece-file", "every line that a piece file may have", pieceFileHelp + pieceExample},
		{"reading-a-plan", "what the figures of a plan mean", `
How far a difference is seen, by its size in ΔE00 (CIEDE2000):

  nobody sees it       below 0.8
  passes side by side  0.8 to 1.8
  close up             1.8 to 4
  at arm's length      4 to 8
  across the room      8 and more

How much of the contrast between light and dark grain is left:

  clear         80 % and more
  softened      50 to 80 %
  faint         25 to 50 %
  painted over  less than 25 %

"Close enough" is a difference of 2 or less, unless your piece file has another tolerance. A range such as "2 coats (1
to 3)" holds 8 times in 10. So do the ranges of ΔE00. The ± of a colour holds 95 times in 100.

L* is lightness: 0 is black, 100 is white. a* is redness, and below 0 greenness. b* is yellowness, and below 0 blueness.

A coating that hides brings woods together because it covers them like paint. So a plan may offer a second choice that
keeps more of the grain. Say prefer = "grain" in the piece file to see that one first.

A coat is only planned if it brings the piece clearly nearer. The second coat on an area must gain twice as much as the
first, the third three times.

Stop before the last coat and take a photo. The last coat is planned from it, and you cannot take a coat off.`},
		{"limits", "what is too large, and how to allow it", `
Some limits protect you against slips and bad files. Without them a mistake could take hours or all of the memory.
Raise or lower a limit with --limit NAME=N, before or after a command:

  megapixels  size of a photo, in millions of pixels. Default: 120; 64 for HEIC, AVIF and WebP.
  megabytes   size of a photo's file. Default: 400.
  memory      megabytes of memory that opening a photo may take. Default: 540.
  photos      photos of a piece. Default: 100.
  areas       areas of a piece or a photo, and test coats of a coating. Default: 100.
  coatings    coatings of a piece. Default: 20. Twice as many take four times as long.
  letters     letters of a name. Default: 200.
  seconds     time that a command may take. Default: no limit.

An outline has at most 2000 corners. A piece file has at most 4 MB. A photo takes up to 3 bytes of memory for each
pixel, or 8 if it has deep colour.`},
		{"safety", "what can hurt you", `
Follow the label, the safety data sheet and your local rules before anything that huewright says. Leave lead and
asbestos to people who are licensed for them.

  Lead      It poisons. Assume it in any finish from before 1978 in the US, 1992 in the UK, and later elsewhere, in varnish too. ` +
			`Test every layer. Do not sand it dry or heat it. Work wet, use an H-class (HEPA) vacuum and a P100 or FFP3 mask. ` +
			`Keep children and pregnant people away.
  Dust      Wood dust causes cancer, and dust of filler and epoxy harms the lungs. Use extraction and an N95 or FFP2 mask that fits.
  Epoxy     Before it has set, it makes skin allergic. Wear nitrile gloves.
  Rags      Rags with drying oil catch fire by themselves. Lay each one flat, outside, until it is hard. ` +
			`Or keep them under water in a closed metal tin or can until they are disposed of.
  Strippers  Methylene chloride (dichloromethane, DCM) has killed people. Do not use it. ` +
			`Wear gloves and goggles with any stripper, and let air through.
  Spray     Mist can burn and harm your lungs. Wear a mask with filters for organic vapour and dust ` +
			`(A2P3, or P100). Move the air. Allow no flame, pilot light or spark. Two-part lacquers are for trained sprayers ` +
			`who breathe supplied air (an air-fed mask).
  Bleach    Mixed bleaches make poison gas. Never mix two kinds, and never mix household bleach with acid. Neutralise as the label says.
  Steel wool  Steel wool, or wire wool, leaves black stains under water-borne products on woods with tannin, as oak is. Use synthetic pads.
  Pets      Strippers and wet finishes poison pets and children. Keep both away.

"huewright timetable" lists the cautions that matter for your piece.`},
	} {
		all = append(all, &cobra.Command{Use: t.name, Short: t.short, Long: t.text})
	}
	return append(all, jsonTopic())
}

const pieceFileHelp = `
A piece file says what you work on: the photos, the areas, the target and the coatings. It is plain text, in TOML.
"huewright demo --out FOLDER" writes one that you can start with.

Leave out what you do not need. Whatever follows a # is a remark. File names begin at the folder of the piece file.
"huewright help outlines" explains outlines.

Some things may be written in one line:

    photo = "front.jpg"
    chip = "#7a5a40"
    dilution = "1 paint, 4 water"
    parts = "5 titanium white, 1 burnt umber"

Write photo so, above all headings, if file names are all that you say of your photos. A photo is then called by its
file's name without the ending. Any colour may be a code, L*, a*, b* as "44, 14, 20", or an outline. A mix may also be
"1:4", with the paint first.

`

// pieceExample is a whole piece file with every key that there is; a test reads it.
const pieceExample = `    name = "hall bench"

    # Units for amounts and temperatures: metric or us. Default: metric.
    units = "metric"
    # How near the target is near enough, as ΔE00. Default: 2.
    tolerance = 2.0
    # What a plan cares for more: match or grain.
    # Default: match.
    prefer = "match"
    # How much nearer the first coat of an area must bring
    # it, as ΔE00; the second twice as much. Default: 1.
    price = 1.0
    # Colours that you might buy, one on each line: a name and its
    # dried colour, and how far one coat hides (0 to 1) if known.
    candidates = "swatches.csv"
    # An older way to say prefer = "grain".
    # least_grain = 0.5
    # The most coats on one area, with those that lie there. Default: 12.
    max_coats = 12
    # The share of each batch to spare for touch-ups. Default: 0.15.
    spare = 0.15
    # For the owner's page: hours of work.
    hours = 14
    # For the cautions: about when the piece was made.
    year_made = 1930
    # For the cautions: where it was finished, us, uk or other.
    country = "uk"
    # For the cautions: is any old finish still on it?
    old_finish = false

    # The colour to reach. If there is none, the areas are brought to meet each other.
    [target]
    photo = "front"
    outline = "900,300,200,150"
    # Instead of an outline, one of these:
    # area = "seat"
    # lab = [44, 14, 20]
    # hex = "#7a5a40"
    # With lab or hex: how far off it may be, as ΔE00. Default: 1 for lab, 4 for hex.
    # plus_minus = 1
    # How it was read: dry, wet or clear-coated. Default: dry.
    state = "dry"
    # The surface there: bare, sealed, clear-coated, non-absorbing or porous.
    surface = "sealed"

    # One for each photo.
    [[photo]]
    name = "front"
    file = "front.jpg"
    # What tells the true colours: auto, chart, grey, neutral or none. Default: auto.
    reference = "auto"
    # The chart's outer corners, if it is not found. Start at the dark-brown patch and follow its row of six.
    corners = "1210,340 1490,352 1478,540 1202,528"
    # A point on the chart that you mean, if there are several.
    # chart_at = "1340,440"
    # When the chart was made: since-2014 or before-2014.
    chart_edition = "since-2014"
    # A file of values that were measured on your own chart.
    # chart_values = "chart.csv"
    # Instead of a chart: a grey card or white paper, and its L*. Default: as it looks, 94 or 50.
    # grey = "820,140,120,90"
    # grey_lightness = 94
    # Slips of the same paper, against uneven light, and their L*. Default: 94.
    neutral = [
      "860,250,40,50",
      "320,900,40,50",
      "870,820,40,50",
    ]
    # neutral_lightness = 94
    # A point on each thing that is taken for a printed slip but is none.
    # not_slip = ["1500,90"]
    # A printed slip that is found wrong or not at all: the outer corners of its dark frame.
    # slip_corners = ["200,900 330,904 326,1034 198,1028"]
    # A photo of a blank sheet in the same light.
    # flat = "sheet.jpg"
    # A length that you know, in mm. It gives the sizes of areas.
    scale.from = "310,880"
    scale.to = "870,880"
    scale.mm = 560
    # Or the width of the chart's patches along a row of six, in mm.
    # chart_width = 250

    # What stays the same in several photos. Outline it in each.
    # [[tie]]
    # name = "slip"
    # in.front = "40,60,80,50"
    # in.bench = "900,80,70,60"

    # One for each part that you colour as a whole.
    [[area]]
    name = "frame"
    # Needed only if there are several photos.
    photo = "front"
    outline = "310,220,180,640"
    # Or places on the wood, from which all of it is found. After "not", places that are no part of it.
    # tap = "400,300 930,500 not 820,700"
    # Instead of both, a colour meter's figures: lab or hex, and plus_minus, like the target's. No photo is needed then.
    # lab = [78, 4, 19]
    # hex = "#d4b992"
    # plus_minus = 4
    # How it was read: dry, wet or clear-coated. Default: dry. Every colour in this file may say so.
    state = "dry"
    # Areas of one wood take a coat up alike. Name sapwood and heartwood apart.
    wood = "ash"
    # bare, sealed, clear-coated, non-absorbing or porous
    surface = "sealed"
    # Its size in square metres, to know how much to mix.
    size_m2 = 0.6
    # All of it, for previews, if the outline is only a part.
    shown = [
      "310,220,180,640",
      "900,220,60,640",
    ]
    # The same area in another photo.
    # also.side = "120,300,90,400"
    # A target of its own, like the one above.
    # target.lab = [44, 14, 20]

    # After a coat, photograph the area again. The rest is then planned anew.
    # [[area.laid]]
    # coating = "brown wash"
    # coats = 1
    # after.photo = "later"
    # after.outline = "310,220,180,640"

    # A filled or sanded-through spot in a wood. It gets the coats of
    # its wood, and is touched up first so that both look alike at the
    # end. Your tubes for that are coatings of kind paint without a
    # dilution; only their chip needs to be known.
    [[area]]
    name = "filled corner"
    photo = "front"
    outline = "1290,985,26,110"
    part_of = "frame"
    surface = "non-absorbing"

    # One for each coating on your shelf.
    [[coating]]
    name = "brown wash"
    # wash (thinned paint), glaze, toner, stain, dye or paint
    kind = "wash"
    # brushed, sprayed or wiped. Default: wiped for a stain, else brushed.
    put_on = "brushed"
    # What thins it: water, oil, alcohol or lacquer. It decides what may lie over what.
    family = "water"
    # What tells this tin or mix from others.
    batch = "March tin"
    # How it is mixed, by volume.
    dilution.paint = 1
    dilution.water = 4
    # Its colour where nothing shows through: hex, lab or an outline.
    chip.hex = "#5a4030"
    # What you stirred it together of, if it is a mix: other coatings of
    # this file, undiluted, in parts by volume. Its chip is then the smear
    # that you laid of it, and teaches how these paints mix.
    # parts = "5 titanium white, 1 burnt umber"
    # Were the parts weighed? Default: false.
    # weighed = true
    # Only the log knows this coating.
    # earlier = true
    # Square metres that a litre covers in one coat.
    spread = 9
    # From the label: hours before the next coat may go on, and hours after which it no longer holds.
    recoat_after = 3
    # recoat_before = 72
    # From the label: the coldest and the hottest room, in °C, and the dampest, in %.
    not_below = 10
    not_above = 30
    not_damper = 70

    # One for each test coat, with the bare wood beside it.
    [[coating.test]]
    coats = 1
    # How it was mixed, if not like the coating.
    # dilution = "1 paint, 2 water"
    # Which board it lies on, if there are several, or if it is one step of a strip.
    board = "A"
    # Is it one step of a strip: 1, 2 and 3 coats side by side, each coat laid over all that follow?
    # strip = true
    # The wood of the board, named as your areas name it. Default: that of ground.area.
    # wood = "ash"
    ground.area = "frame"
    result.photo = "front"
    result.outline = "520,700,120,90"

    # One layer of the finish, the lowest first. Leave layers
    # out, and the program finds coatings and order itself.
    [[layer]]
    coating = "brown wash"
    # The areas it goes on. Default: all.
    areas = ["frame"]
    # How many coats, or "plan" to have the number found.
    # Default: plan. Of 6 layers at most, 3 may have plan.
    coats = "plan"

    # A filled or touched-up spot, for "huewright check".
    [[repair]]
    name = "filled corner"
    # Needed only if there are several photos.
    photo = "front"
    outline = "1290,985,26,110"
    # The wood to compare with. Default: the wood round it.
    # wood = "1150,900,120,240"
    # What to leave out.
    # exclude = ["1200,985,20,20"]

    # When and where you work, for the timetable and the cautions.
    [room]
    start = "2026-03-14T09:00"
    # °C, or °F if units are us
    temperature = 19
    humidity = 55
    # When you begin and end each day. Default: 08:00 and 20:00.
    opens = "08:00"
    closes = "20:00"
    indoors = true
    # Are children or pregnant people about?
    children = false

    # A clear coat over everything. Colours are then judged under it.
    [clear]
    name = "water-borne clear"
    family = "water"
    put_on = "brushed"
    coats = 2
    # From its label, like a coating's.
    # recoat_after = 2
    # recoat_before = 24
    # not_below = 10
    # not_above = 30
    # not_damper = 70

    # A spot before and under the clear coat, or dry and wetted.
    [[clear.test]]
    before.area = "frame"
    after.photo = "front"
    after.outline = "330,880,60,60"
`
