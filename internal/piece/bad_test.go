package piece_test

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/words"
)

// A badPiece is a piece file that is whole but for one place.
type badPiece struct {
	text     string // all of the file; "" is wholePiece with one place replaced
	from, to string // from "" appends to
	code     fault.Code
	at       string // line:column
}

const (
	corners = `corners = "10,10 90,10 90,60 10,60"`
	surface = `surface = "sealed"`
	chip    = `chip = { hex = "#5a4030" }`
	kind    = `kind = "wash"`
	mix     = `dilution = { paint = 1, water = 4 }`

	glaze     = "\n[[coating]]\nname = \"glaze\"\nkind = \"glaze\"\nchip = { hex = \"#5a4030\" }\n"
	dye       = "[[coating]]\nname = \"dye\"\nkind = \"dye\"\nchip = { hex = \"#5a4030\" }\n"
	alsoSame  = "photo = \"front\"\nalso = { front = \"1,1,50,50\" }"
	laidGlaze = "[[area.laid]]\ncoating = \"glaze\"\ncoats = 1\nafter = { hex = \"#5a4030\" }\n[[coating]]"
	laidNone  = "[[area.laid]]\ncoating = \"brown wash\"\ncoats = 0\nafter = { hex = \"#5a4030\" }\n[[coating]]"
	tieBack   = "[[tie]]\nname = \"slip\"\nin = { front = \"1,1,50,50\", back = \"1,1,50,50\" }\n"
	slips300  = "neutral = [\"1,2,30,40\"]\nneutral_lightness = 300"
	layer     = "[[layer]]\ncoating = \""
	layerWash = layer + "brown wash\"\n"
	spotIn    = "[[area]]\nname = \"spot\"\noutline = \"1,1,9,9\"\n"
	onlyList  = "reference = \"none\"\nchart_values = \"chart.csv\""
)

// What people type wrong, each to be refused where it stands.
var badPieces = map[string]badPiece{
	// The file.
	"empty":        {text: " \n\n", code: "piece.empty", at: "1:1"},
	"a photo":      {text: "\xff\xd8\xff\xe0\x00\x10JFIF", code: "piece.not-text", at: "1:1"},
	"UTF-16":       {text: asUTF16(wholePiece), code: "piece.other-coding", at: "1:1"},
	"another text": {text: "Dear Sir,\nthe cabinet is done.\n", code: "piece.no-equals", at: "1:6"},
	"JSON":         {text: `{"name": "bench"}`, code: "piece.no-equals", at: "1:1"},
	"cut off":      {text: strings.TrimSuffix(wholePiece, "\" }\n"), code: "piece.open-quote", at: "25:33"},

	// Lines that cannot be read.
	"no quotes":             {from: kind, to: `kind = wash`, code: "piece.no-quotes", at: "18:8"},
	"one quote":             {from: kind, to: `kind = "wash`, code: "piece.open-quote", at: "18:13"},
	"quotes inside":         {from: `"brown wash"`, to: `"brown "nut" wash"`, code: "piece.after-quotes", at: "17:16"},
	"curved quotes":         {from: kind, to: `kind = “wash”`, code: "piece.curved-quotes", at: "18:8"},
	"Windows path":          {from: `"front.jpg"`, to: `"C:\photos\front.jpg"`, code: "piece.backslash", at: "8:11"},
	"no equals sign":        {from: kind, to: `kind "wash"`, code: "piece.no-equals", at: "18:6"},
	"no value":              {from: kind, to: `kind =`, code: "piece.no-value", at: "18:7"},
	"no key":                {from: kind, to: `= "wash"`, code: "piece.no-key", at: "18:1"},
	"decimal comma":         {from: "[target]", to: "tolerance = 1,5\n[target]", code: "piece.decimal-comma", at: "3:14"},
	"a unit":                {from: "coats = 1", to: "coats = 1 coat", code: "piece.more-than-number", at: "23:11"},
	"per cent":              {from: "[target]", to: "spare = 15 %\n[target]", code: "piece.more-than-number", at: "3:12"},
	"time without quotes":   {from: "[target]", to: "[room]\nopens = 8:30\n[target]", code: "piece.more-than-number", at: "4:10"},
	"leading nought":        {from: "coats = 1", to: "coats = 01", code: "piece.more-than-number", at: "23:9"},
	"yes":                   {from: "[target]", to: "old_finish = yes\n[target]", code: "piece.yes-no", at: "3:14"},
	"True":                  {from: "[target]", to: "old_finish = True\n[target]", code: "piece.yes-no", at: "3:14"},
	"heading left open":     {from: "[[area]]", to: "[[area]", code: "piece.open-heading", at: "11:7"},
	"list left open":        {from: "19.8]", to: "19.8", code: "piece.open-bracket", at: "4:7"},
	"group left open":       {from: `"#5a4030" }`, to: `"#5a4030"`, code: "piece.open-bracket", at: "19:8"},
	"comma missing in list": {from: "44.1, 14.2", to: "44.1 14.2", code: "piece.no-comma", at: "4:13"},
	"comma missing in group": {from: "paint = 1, water", to: "paint = 1 water",
		code: "piece.no-comma", at: "20:24"},

	// Keys and values that do not fit.
	"misspelt key":         {from: surface, to: `surfice = "sealed"`, code: "piece.misspelt-key", at: "14:1"},
	"misspelt in a group":  {from: chip, to: `chip = { hexx = "#5a4030" }`, code: "piece.misspelt-key", at: "19:10"},
	"unknown key":          {from: surface, to: `varnish = "gloss"`, code: "piece.unknown-key", at: "14:1"},
	"unknown heading":      {from: "", to: "[[drawer]]\nname = \"top\"\n", code: "piece.unknown-key", at: "27:3"},
	"text for a number":    {from: "coats = 1", to: `coats = "one"`, code: "piece.wrong-kind", at: "23:1"},
	"number for a text":    {from: `name = "frame"`, to: "name = 3", code: "piece.wrong-kind", at: "12:1"},
	"broken for a whole":   {from: "[target]", to: "max_coats = 2.5\n[target]", code: "piece.wrong-kind", at: "3:1"},
	"text for yes or no":   {from: "[target]", to: "old_finish = \"yes\"\n[target]", code: "piece.wrong-kind", at: "3:1"},
	"list for a text":      {from: surface, to: `surface = ["sealed"]`, code: "piece.wrong-kind", at: "14:1"},
	"text for a list":      {from: corners, to: `neutral = "1,2,3,4"`, code: "piece.wrong-kind", at: "9:1"},
	"text in a list":       {from: "44.1, 14.2", to: `"44.1", 14.2`, code: "piece.wrong-kind", at: "4:8"},
	"text for a group":     {from: "[target]", to: "room = \"cold\"\n[target]", code: "piece.wrong-kind", at: "3:1"},
	"number for a colour":  {from: chip, to: `chip = 7`, code: "piece.wrong-kind", at: "19:1"},
	"number for a mix":     {from: mix, to: `dilution = 4`, code: "piece.wrong-kind", at: "20:1"},
	"group for photos":     {text: "photo = { file = \"front.jpg\" }\n", code: "piece.wrong-kind", at: "1:1"},
	"date for a text":      {from: "[target]", to: "[room]\nstart = 2026-03-14\n[target]", code: "piece.wrong-kind", at: "4:1"},
	"heading for a text":   {from: "", to: "[name]\nfirst = \"hall\"\n", code: "piece.wrong-kind", at: "27:2"},
	"one bracket":          {from: "[[area]]", to: "[area]", code: "piece.double-heading", at: "11:2"},
	"two brackets":         {from: "[target]", to: "[[target]]", code: "piece.single-heading", at: "3:3"},
	"key twice":            {from: surface, to: surface + "\n" + surface, code: "piece.key-twice", at: "15:1"},
	"heading twice":        {from: "", to: "[target]\nhex = \"#5a4030\"\n", code: "piece.heading-twice", at: "27:2"},
	"group and heading":    {from: "", to: "[clear]\ncoats = 2\n[clear]\ncoats = 3\n", code: "piece.heading-twice", at: "29:2"},
	"huge whole number":    {from: "[target]", to: "max_coats = 99999999999999999999\n[target]", code: "piece.huge-number", at: "3:1"},
	"huge broken number":   {from: "coats = 1", to: "coats = 1e999", code: "piece.huge-number", at: "23:1"},
	"huge number in lists": {from: "44.1, 14.2", to: "44.1, 99999999999999999999", code: "piece.huge-number", at: "4:14"},

	// Text that stands for a group of keys.
	"colour's name":       {from: chip, to: `chip = "brown"`, code: "piece.source-text", at: "19:1"},
	"code without a #":    {from: chip, to: `chip = "5a4030"`, code: "piece.source-text", at: "19:1"},
	"half a code":         {from: chip, to: `chip = "#5a40"`, code: "colour.hex", at: "19:1"},
	"figures too light":   {from: chip, to: `chip = "144, 14, 20"`, code: "piece.lab-range", at: "19:1"},
	"half an outline":     {from: `{ outline = "10,70,20,20" }`, to: `"10,70"`, code: "outline.numbers", at: "25:1"},
	"no colour in quotes": {from: chip, to: `chip = " "`, code: "piece.no-value", at: "19:1"},
	"parts without names": {from: mix, to: `parts = "5, 1"`, code: "piece.parts-text", at: "20:1"},
	"parts of one":        {from: mix, to: `parts = "5 brown wash"`, code: "piece.one-part", at: "20:1"},
	"parts of no coating": {from: mix, to: `parts = "5 white, 1 umber"`, code: "piece.no-coating", at: "20:1"},
	"parts of itself":     {from: mix, to: "parts = \"5 brown wash, 1 glaze\"" + glaze, code: "piece.part-is-mix", at: "20:1"},
	"parts named twice":   {from: mix, to: "parts = \"5 glaze, 1 glaze\"" + glaze, code: "piece.part-twice", at: "20:1"},
	"no parts of one":     {from: mix, to: "parts = \"5 glaze, 0 dye\"" + glaze + dye, code: "piece.parts", at: "20:1"},
	"parts of a mix": {from: mix, to: "parts = \"5 glaze, 1 dye\"" + glaze + dye + "parts = \"1 glaze, 1 dye\"\n",
		code: "piece.part-is-mix", at: "20:1"},
	"weighed, no parts":    {from: mix, to: "weighed = true", code: "piece.weighed-without-parts", at: "20:1"},
	"parts as a number":    {from: mix, to: "parts = 5", code: "piece.wrong-kind", at: "20:1"},
	"mix without water":    {from: mix, to: `dilution = "1 paint"`, code: "piece.dilution-text", at: "20:1"},
	"mix of two paints":    {from: mix, to: `dilution = "1 paint, 4 paint"`, code: "piece.dilution-text", at: "20:1"},
	"mix in per cent":      {from: mix, to: `dilution = "20 %"`, code: "piece.dilution-text", at: "20:1"},
	"mix as a fraction":    {from: mix, to: `dilution = "1/4"`, code: "piece.dilution-text", at: "20:1"},
	"mix with a comma":     {from: mix, to: `dilution = "1,5:4"`, code: "piece.dilution-text", at: "20:1"},
	"mix with no paint":    {from: mix, to: `dilution = "0:4"`, code: "piece.paint", at: "20:1"},
	"endless water":        {from: mix, to: `dilution = "1:2000"`, code: "piece.water", at: "20:1"},
	"mix in a group too":   {from: mix, to: mix + "\ndilution = \"1:4\"", code: "piece.key-twice", at: "21:1"},
	"photo without a name": {text: "photo = \"\"\n", code: "piece.no-value", at: "1:1"},
	"photo twice":          {from: "[target]", to: "photo = \"front.jpg\"\n[target]", code: "piece.key-twice", at: "7:3"},
	"photos of one name":   {text: "photo = [\"a/front.jpg\", \"b/front.jpg\"]\n", code: "piece.same-name", at: "1:25"},

	// Values that make no sense.
	"negative coats":      {from: "coats = 1", to: "coats = -1", code: "piece.test-coats", at: "23:1"},
	"no coats":            {from: "coats = 1", to: "coats = 0", code: "piece.test-coats", at: "23:1"},
	"coats not a number":  {from: "coats = 1", to: "coats = nan", code: "piece.test-coats", at: "23:1"},
	"strip of no board":   {from: "coats = 1", to: "coats = 1\nstrip = true", code: "piece.strip-without-board", at: "24:1"},
	"state":               {from: surface, to: surface + "\nstate = \"damp\"", code: "piece.choice", at: "15:1"},
	"state of a source":   {from: "19.8]", to: "19.8]\nstate = \"damp\"", code: "piece.choice", at: "5:1"},
	"state of an area":    {from: `{ area = "frame" }`, to: `{ area = "frame", state = "wet" }`, code: "piece.state-of-area", at: "24:28"},
	"negative tolerance":  {from: `name = "hall bench"`, to: "tolerance = -2", code: "piece.tolerance", at: "1:1"},
	"radius of a photo":   {from: surface, to: surface + "\nplus_minus = 2", code: "piece.measured-plus-minus", at: "15:1"},
	"radius below nought": {from: "[target]", to: "[target]\nplus_minus = -2", code: "piece.plus-minus", at: "4:1"},
	"figures and outline": {from: surface, to: surface + "\nlab = [78, 4, 19]", code: "piece.two-colours", at: "11:3"},
	"many coats":          {from: "[target]", to: "max_coats = 500\n[target]", code: "piece.max-coats", at: "3:1"},
	"grain over all":      {from: "[target]", to: "least_grain = 50\n[target]", code: "piece.least-grain", at: "3:1"},
	"spare over all":      {from: "[target]", to: "spare = 15\n[target]", code: "piece.spare", at: "3:1"},
	"units":               {from: "[target]", to: "units = \"imperial\"\n[target]", code: "piece.choice", at: "3:1"},
	"hours":               {from: "[target]", to: "hours = -2\n[target]", code: "piece.hours", at: "3:1"},
	"year":                {from: "[target]", to: "year_made = 19\n[target]", code: "piece.year-made", at: "3:1"},
	"kind":                {from: kind, to: `kind = "varnish"`, code: "piece.choice", at: "18:1"},
	"no kind":             {from: kind, to: ``, code: "piece.no-kind", at: "16:3"},
	"nothing known":       {from: chip, to: "[[coating]]\nname = \"black\"\nkind = \"paint\"", code: "piece.unknown-coating", at: "16:3"},
	"surface":             {from: `"sealed"`, to: `"waxed"`, code: "piece.choice", at: "14:1"},
	"family":              {from: kind, to: kind + "\nfamily = \"milk\"", code: "piece.choice", at: "19:1"},
	"way to put it on":    {from: kind, to: kind + "\nput_on = \"poured\"", code: "piece.choice", at: "19:1"},
	"coverage":            {from: kind, to: kind + "\nspread = -9", code: "piece.spread", at: "19:1"},
	"size":                {from: surface, to: "size_m2 = -1", code: "piece.size", at: "14:1"},
	"no paint":            {from: "paint = 1", to: "paint = 0", code: "piece.paint", at: "20:14"},
	"negative water":      {from: "water = 4", to: "water = -4", code: "piece.water", at: "20:25"},
	"lab not a number":    {from: "44.1, 14.2", to: "nan, 14.2", code: "piece.lab-range", at: "4:1"},
	"lab too light":       {from: "44.1, 14.2", to: "144.1, 14.2", code: "piece.lab-range", at: "4:1"},
	"lab too short":       {from: "44.1, 14.2, 19.8", to: "44.1, 14.2", code: "piece.lab-figures", at: "4:1"},
	"hex":                 {from: "#5a4030", to: "#5a40", code: "colour.hex", at: "19:10"},
	"two colours":         {from: `area = "frame"`, to: `area = "frame", hex = "#ffffff"`, code: "piece.two-colours", at: "24:1"},
	"no colour":           {from: "lab = [44.1, 14.2, 19.8]", to: "", code: "piece.no-colour", at: "3:2"},
	"no name":             {from: `name = "frame"`, to: "", code: "piece.no-name", at: "11:3"},
	"one name twice":      {from: "", to: "[[area]]\nname = \"frame\"\noutline = \"1,1,5,5\"\n", code: "piece.same-name", at: "28:1"},
	"long name":           {from: `name = "frame"`, to: `name = "` + strings.Repeat("o", 300) + `"`, code: "piece.long-name", at: "0:0"},
	"many coatings":       {from: "", to: manyCoatings(20), code: "piece.too-many", at: "84:3"},
	"tap and outline":     {from: surface, to: "tap = \"40,40\"", code: "piece.tap-and-more", at: "14:1"},
	"tap and figures":     {from: `outline = "10,10,50,50"`, to: "tap = \"4,4\"\nhex = \"#a98\"", code: "piece.tap-and-more", at: "13:1"},
	"tap in no place":     {from: `outline = "10,10,50,50"`, to: `tap = "40;40"`, code: "tap.not-a-place", at: "13:1"},
	"tap on no wood":      {from: `outline = "10,10,50,50"`, to: `tap = "not 40,40"`, code: "tap.none", at: "13:1"},
	"tap with a radius": {from: `outline = "10,10,50,50"`, to: "tap = \"4,4\"\nplus_minus = 2", code: "piece.measured-plus-minus",
		at: "14:1"},
	"tap in no photo":     {from: `outline = "10,10,50,50"`, to: "tap = \"4,4\"\nphoto = \"back\"", code: "piece.no-photo", at: "14:1"},
	"no outline":          {from: `outline = "10,10,50,50"`, to: "", code: "piece.no-outline", at: "11:3"},
	"photo without file":  {from: `file = "front.jpg"`, to: "", code: "piece.no-photo-file", at: "6:3"},
	"area without photo":  {from: "[[photo]]\nname = \"front\"\nfile = \"front.jpg\"\n" + corners, to: "", code: "piece.no-photos", at: "8:3"},
	"which photo":         {from: "", to: "[[photo]]\nname = \"side\"\nfile = \"side.jpg\"\n", code: "piece.which-photo", at: "11:3"},
	"unknown photo":       {from: surface, to: `photo = "back"`, code: "piece.no-photo", at: "14:1"},
	"unknown area":        {from: `area = "frame"`, to: `area = "farm"`, code: "piece.no-area", at: "24:12"},
	"area twice in photo": {from: surface, to: alsoSame, code: "piece.twice-in-photo", at: "15:10"},
	"unknown coating":     {from: "[[coating]]", to: laidGlaze, code: "piece.no-coating", at: "17:1"},
	"no coats laid":       {from: "[[coating]]", to: laidNone, code: "piece.laid-coats", at: "18:1"},
	"tie in one photo":    {from: "", to: "[[tie]]\nname = \"slip\"\nin = { front = \"1,1,50,50\" }\n", code: "piece.tie-photos", at: "29:1"},
	"tie in no photo":     {from: "", to: tieBack, code: "piece.no-photo", at: "29:29"},
	"tie without photos":  {from: "", to: "[[tie]]\nname = \"slip\"\nin = \"front\"\n", code: "piece.wrong-kind", at: "29:1"},

	// The layers of the finish.
	"layer without coating": {from: "", to: "[[layer]]\ncoats = 2\n", code: "piece.layer-coating", at: "27:3"},
	"layer of no coating":   {from: "", to: layer + "glaze\"\n", code: "piece.no-coating", at: "28:1"},
	"layer on no area":      {from: "", to: layerWash + "areas = [\"frame\", \"panel\"]\n", code: "piece.no-area", at: "29:19"},
	"area twice in a layer": {from: "", to: layerWash + "areas = [\"frame\", \"frame\"]\n", code: "piece.layer-area", at: "29:19"},
	"areas no list":         {from: "", to: layerWash + "areas = \"frame\"\n", code: "piece.wrong-kind", at: "29:1"},
	"half coats":            {from: "", to: layerWash + "coats = 2.5\n", code: "piece.layer-coats", at: "29:1"},
	"coats below nought":    {from: "", to: layerWash + "coats = -1\n", code: "piece.layer-coats", at: "29:1"},
	"too many coats":        {from: "", to: layerWash + "coats = 51\n", code: "piece.layer-coats", at: "29:1"},
	"coats no number":       {from: "", to: layerWash + "coats = nan\n", code: "piece.layer-coats", at: "29:1"},
	"coats without end":     {from: "", to: layerWash + "coats = inf\n", code: "piece.layer-coats", at: "29:1"},
	"huge coats":            {from: "", to: layerWash + "coats = 99999999999999999999\n", code: "piece.huge-number", at: "29:1"},
	"Plan":                  {from: "", to: layerWash + "coats = \"Plan\"\n", code: "piece.layer-coats", at: "29:1"},
	"coats in quotes":       {from: "", to: layerWash + "coats = \"2\"\n", code: "piece.layer-coats", at: "29:1"},
	"coats true":            {from: "", to: layerWash + "coats = true\n", code: "piece.layer-coats", at: "29:1"},
	"coats a date":          {from: "", to: layerWash + "coats = 2026-03-14\n", code: "piece.layer-coats", at: "29:1"},
	"coats a list":          {from: "", to: layerWash + "coats = [1, 2]\n", code: "piece.layer-coats", at: "29:1"},
	"coats a group":         {from: "", to: layerWash + "coats = { first = 1 }\n", code: "piece.layer-coats", at: "29:1"},
	"plan without quotes":   {from: "", to: layerWash + "coats = plan\n", code: "piece.no-quotes", at: "29:9"},
	"misspelt in a layer":   {from: "", to: layerWash + "area = [\"frame\"]\n", code: "piece.misspelt-key", at: "29:1"},
	"layer in one bracket":  {from: "", to: "[layer]\ncoating = \"brown wash\"\n", code: "piece.double-heading", at: "27:2"},
	"many layers":           {from: "", to: strings.Repeat(layerWash+"coats = 1\n", 7), code: "piece.many-layers", at: "45:3"},
	"many layers to find":   {from: "", to: strings.Repeat(layerWash, 4), code: "piece.many-layers", at: "33:3"},
	"layer on a spot": {from: "", to: spotIn + "part_of = \"frame\"\n" + layerWash + "areas = [\"spot\"]\n",
		code: "piece.layer-spot", at: "33:10"},

	// A spot.
	"part of no wood":    {from: "", to: spotIn + "part_of = \"fraem\"\n", code: "piece.no-wood", at: "30:1"},
	"part of itself":     {from: "", to: spotIn + "part_of = \"spot\"\n", code: "piece.part-of-itself", at: "30:1"},
	"part of a part":     {from: surface, to: "part_of = \"spot\"\n" + spotIn + "part_of = \"frame\"", code: "piece.part-of-part", at: "14:1"},
	"spot with a target": {from: "", to: spotIn + "part_of = \"frame\"\ntarget.hex = \"#5a4030\"\n", code: "piece.spot-target", at: "31:1"},

	"preference": {from: "[target]", to: "prefer = \"Grain\"\n[target]", code: "piece.choice", at: "3:1"},
	"price":      {from: "[target]", to: "price = -1\n[target]", code: "piece.price", at: "3:1"},

	// The reference.
	"reference":             {from: corners, to: `reference = "card"`, code: "piece.choice", at: "9:1"},
	"edition":               {from: corners, to: `chart_edition = "newest"`, code: "piece.choice", at: "9:1"},
	"three corners":         {from: corners, to: `corners = "10,10 90,10 90,60"`, code: "piece.corners", at: "9:1"},
	"semicolon":             {from: "10,10 90,10", to: "10,10 90;10", code: "piece.point", at: "9:1"},
	"no card":               {from: corners, to: `reference = "grey"`, code: "piece.no-grey-card", at: "9:1"},
	"card's lightness":      {from: corners, to: "grey = \"1,1,20,20\"\ngrey_lightness = 300", code: "piece.card-lightness", at: "10:1"},
	"no slip":               {from: corners, to: `reference = "neutral"`, code: "piece.no-slip", at: "9:1"},
	"slip's lightness":      {from: corners, to: `neutral = ["300: 1,2,30,40"]`, code: "piece.slip-lightness", at: "9:1"},
	"slips' lightness":      {from: corners, to: slips300, code: "piece.slip-lightness", at: "10:1"},
	"chart and card":        {from: corners, to: corners + "\ngrey = \"1,1,20,20\"", code: "piece.chart-or-grey", at: "6:3"},
	"chart's width":         {from: corners, to: corners + "\nchart_width = -3", code: "piece.chart-width", at: "10:1"},
	"values without chart":  {from: corners, to: onlyList, code: "piece.values-without-chart", at: "10:1"},
	"width without chart":   {from: corners, to: "reference = \"none\"\nchart_width = 200", code: "piece.width-without-chart", at: "10:1"},
	"scale":                 {from: corners, to: `scale = { from = "1,2", to = "1;300", mm = 30 }`, code: "piece.point", at: "9:1"},
	"scale without length":  {from: corners, to: `scale = { from = "1,2", to = "1,300" }`, code: "piece.length-mm", at: "9:1"},
	"scale of no extension": {from: corners, to: `scale = { from = "1,2", to = "1,3", mm = 30 }`, code: "piece.length-short", at: "9:1"},

	// The room.
	"temperature":  {from: "[target]", to: "[room]\ntemperature = 2100\n[target]", code: "piece.temperature", at: "4:1"},
	"humidity":     {from: "[target]", to: "[room]\nhumidity = 150\n[target]", code: "piece.humidity", at: "4:1"},
	"start":        {from: "[target]", to: "[room]\nstart = \"tomorrow\"\n[target]", code: "piece.start", at: "4:1"},
	"31 February":  {from: "[target]", to: "[room]\nstart = \"2026-02-31\"\n[target]", code: "piece.start", at: "4:1"},
	"opening time": {from: "[target]", to: "[room]\nopens = \"8 am\"\n[target]", code: "piece.time-of-day", at: "4:1"},
	"closing time": {from: "[target]", to: "[room]\ncloses = \"25:00\"\n[target]", code: "piece.time-of-day", at: "4:1"},
	"closes early": {from: "[target]", to: "[room]\nopens = \"20:00\"\ncloses = \"08:00\"\n[target]", code: "piece.closes-early", at: "5:1"},
	"recoat":       {from: kind, to: kind + "\nrecoat_after = -4", code: "piece.recoat-after", at: "19:1"},
	"recoat order": {from: kind, to: kind + "\nrecoat_after = 24\nrecoat_before = 4", code: "piece.recoat-order", at: "20:1"},
	"too damp":     {from: kind, to: kind + "\nnot_damper = 700", code: "piece.not-damper", at: "19:1"},
	"clear coats":  {from: "[target]", to: "[clear]\ncoats = -1\n[target]", code: "piece.clear-coats", at: "4:1"},
	"clear family": {from: "[target]", to: "[clear]\nfamily = \"wax\"\n[target]", code: "piece.choice", at: "4:1"},
}

// Every fault has a code that the catalogue knows, stands where it was made, says what to do, and says all of it in
// words for people.
func TestBadPieces(t *testing.T) {
	programmers := regexp.MustCompile(`(?i)toml|struct|decode|unmarshal|strconv|parsing|syntax|invalid|expected|U\+|%!|piece\.[a-z]|nil|\{`)
	for name, c := range badPieces {
		t.Run(name, func(t *testing.T) {
			text := c.text
			if text == "" {
				text = wholePiece + "\n" + c.to
				if c.from != "" {
					require.Equal(t, 1, strings.Count(wholePiece, c.from), "the test replaces one place")
					text = strings.Replace(wholePiece, c.from, c.to, 1)
				}
			}
			_, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
			f := fault.Of(err)
			require.NotNil(t, f, "%v", err)
			require.Equal(t, c.code, f.Code, "%v", err)
			require.Equal(t, fault.Use, f.Kind)
			require.Equal(t, "bench.toml", f.Place.File)
			require.Equal(t, c.at, fmt.Sprintf("%d:%d", f.Place.Line, f.Place.Column))
			for _, voice := range []words.Voice{words.Terminal, words.Page} {
				says, hint := words.Speaker{Voice: voice}.Fault(err)
				require.NotEmpty(t, says)
				require.NotEmpty(t, hint, says)
				require.NotRegexp(t, programmers, strings.ReplaceAll(says+" "+hint, "bench.toml", ""))
			}
		})
	}
}

// Editors put a mark before the text, and end lines in their own way; both are read.
func TestMarksAndLineEnds(t *testing.T) {
	for _, text := range []string{"\xef\xbb\xbf" + wholePiece, strings.ReplaceAll(wholePiece, "\n", "\r\n")} {
		p, err := piece.Read("bench.toml", []byte(text), piece.Limits{})
		require.NoError(t, err)
		require.Equal(t, "hall bench", p.Name)
	}
}

// Faults say which area or coating they are about, and a piece without a file names no file.
func TestFaultsNameWhatTheyAreAbout(t *testing.T) {
	p, err := piece.Read("bench.toml", []byte(wholePiece), piece.Limits{})
	require.NoError(t, err)
	p.Coatings[0].Kind = ""
	err = p.ValidateWithin(piece.Limits{})
	require.True(t, fault.Is(err, "piece.no-kind"), "%v", err)
	require.Equal(t, fault.Place{Area: "brown wash"}, fault.Of(err).Place)
}

func asUTF16(text string) string {
	b := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(text)) {
		b = append(b, byte(u), byte(u>>8))
	}
	return string(b)
}

func manyCoatings(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "[[coating]]\nname = \"wash %d\"\n%s\n", i, chip)
	}
	return b.String()
}

// Layers as they may be written, and the coats that they have.
func TestLayers(t *testing.T) {
	for coats, c := range map[string]struct {
		count int
		known bool
	}{
		"":                   {0, false},
		"coats = \"plan\"\n": {0, false},
		"coats = 0\n":        {0, true},
		"coats = 2\n":        {2, true},
		"coats = 2.0\n":      {2, true},
		"coats = 50\n":       {50, true},
	} {
		p, err := piece.Read("bench.toml", []byte(wholePiece+"\n"+layerWash+"areas = [\"frame\"]\n"+coats), piece.Limits{})
		require.NoError(t, err, coats)
		require.Equal(t, []string{"frame"}, p.Layers[0].Areas)
		count, known := p.Layers[0].Count()
		require.Equal(t, c.known, known, coats)
		require.Equal(t, c.count, count, coats)
	}
	p, err := piece.Read("bench.toml", []byte(wholePiece+"\n"+strings.Repeat(layerWash, 3)+strings.Repeat(layerWash+"coats = 1\n", 3)),
		piece.Limits{})
	require.NoError(t, err)
	require.Len(t, p.Layers, 6)
	text, err := json.Marshal(p)
	require.NoError(t, err)
	var again piece.Piece
	require.NoError(t, json.Unmarshal(text, &again))
	require.NoError(t, again.ValidateWithin(piece.Limits{}))
	count, known := again.Layers[3].Count()
	require.True(t, known && count == 1, "a number out of JSON")
}

// An older key is read as what it stands for now, and said to be old.
func TestOlderGrain(t *testing.T) {
	read := func(keys string) *piece.Piece {
		p, err := piece.Read("bench.toml", []byte(keys+wholePiece), piece.Limits{})
		require.NoError(t, err)
		return p
	}
	for keys, grain := range map[string]bool{"least_grain = 0.3\n": true, "least_grain = 0.3\nprefer = \"match\"\n": false} {
		p := read(keys)
		require.Equal(t, grain, p.PrefersGrain(), keys)
		require.Equal(t, []fault.Note{fault.Say("piece.older-grain")}, p.Notes(), keys)
	}
	require.True(t, read("prefer = \"grain\"\n").PrefersGrain())
	require.Empty(t, read("prefer = \"grain\"\n").Notes())
	require.False(t, read("").PrefersGrain())
}
