package complete

import (
	"huewright/blend"
	"huewright/internal/logbook"
	"huewright/internal/report"
	"huewright/internal/report/card"
)

// PhotoEndings are those of the names of photos that can be opened.
var PhotoEndings = []string{"jpg", "jpeg", "heic", "heif", "avif", "png", "tif", "tiff", "webp"}

var (
	photo     = files(PhotoEndings...)
	job       = files(append([]string{"toml"}, PhotoEndings...)...) // a piece file or a photo
	pieceFile = files("toml")
	picture   = files("png", "jpg", "jpeg")
	cuts      = words("flat-sawn", "quarter-sawn", "rift", "veneer")
)

// arguments are those of each command, by its path, in turn; nil at the end lets the one before it come again.
var arguments = map[string][]offer{
	"":            {},
	"demo":        {},
	"measure":     {photo, nil},
	"compare":     {photo},
	"plan":        {job, nil},
	"preview":     {pieceFile},
	"timetable":   {pieceFile},
	"card":        {pieceFile},
	"slips":       {},
	"check":       {job},
	"serve":       {},
	"version":     {},
	"log":         {},
	"log begin":   {nothing},
	"log photo":   {loggedPieces, photo, nil},
	"log area":    {loggedPieces, loggedAreas},
	"log reading": {loggedPieces, loggedAreas},
	"log coat":    {loggedPieces, loggedAreas},
	"log note":    {loggedPieces, nothing},
	"log undo":    {entries},
	"log show":    {loggedPieces},
	"log list":    {},
	"log find":    {nothing},
	"log scores":  {},
	"log label":   {loggedPieces, loggedAreas},
	"log drift":   {loggedPieces, loggedAreas},
	"log again":   {plans},
	"log export":  {files("jsonl")},
	"log import":  {files("jsonl")},
	"log backup":  {anyFile},
	"log restore": {files("db")},
	"log check":   {},
	"log where":   {},
	"help":        {},
	"completion":  {},
}

// flags are what completes the values of flags, by their names, or by "COMMAND --FLAG" where the same name means something else.
var flags = map[string]offer{
	"--log":               files("db"),
	"--out":               anyFile,
	"--overlay":           picture,
	"--write":             pieceFile,
	"--reference":         words("auto", "chart", "grey", "neutral", "none"),
	"--corners":           nothing,
	"--chart-at":          nothing,
	"--chart-edition":     words("since-2014", "before-2014"),
	"--chart-values":      files("csv", "txt"),
	"--grey":              nothing,
	"--grey-lightness":    nothing,
	"--neutral":           nothing,
	"--neutral-lightness": nothing,
	"--flat":              photo,
	"--chart-width":       nothing,
	"--length":            nothing,
	"--tie":               nothing,
	"--piece":             pieces,
	"--coats":             counts,
	"--area":              nothing,
	"--start":             nothing,
	"--temperature":       nothing,
	"--humidity":          nothing,
	"--note":              nothing,
	"--at":                nothing,
	"--surface":           words(blend.Surfaces...),
	"--kind":              words(blend.Kinds...),
	"--family":            words(blend.Families...),
	"--put-on":            words(blend.PutOns...),
	"--wood":              woods,
	"--of":                words(logbook.ReadingsOf...),
	"--coating":           loggedCoatings,

	"help --schema": words(report.JSONResultNames()...),
	"demo --out":    folder,
	"preview --out": folder,

	"compare --target":         namedAreas,
	"plan --target":            namedAreas,
	"plan --chip":              nothing,
	"plan --thinned":           nothing,
	"preview --width":          nothing,
	"preview --feather":        nothing,
	"timetable --ics":          files("ics"),
	"card --paper":             words(card.Papers...),
	"card --ref":               nothing,
	"card --out":               files("pdf", "html"),
	"slips --paper":            words(card.Papers...),
	"slips --out":              files("pdf"),
	"slips --set":              nothing,
	"check --repair":           nothing,
	"check --wood":             nothing,
	"check --exclude":          nothing,
	"check --from":             nothing,
	"check --shelf":            pieceFile,
	"check --before":           photo,
	"check --before-repair":    nothing,
	"check --lamp":             photo,
	"check --lamp-repair":      nothing,
	"check --name":             repairs,
	"serve --port":             nothing,
	"log begin --about":        nothing,
	"log area --cut":           cuts,
	"log area --sanding":       nothing,
	"log area --wood-age":      nothing,
	"log area --square-metres": nothing,
	"log reading --lab":        nothing,
	"log reading --plus-minus": nothing,
	"log coat --batch":         nothing,
	"log coat --coats":         nothing,
	"log coat --paint":         nothing,
	"log coat --thinner":       nothing,
	"log coat --with":          words("water", "white spirit", "mineral spirits", "meths", "denatured alcohol"),
	"log coat --wiped-after":   nothing,
	"log coat --dried":         nothing,
	"log note --area":          loggedAreas,
	"log note --instead-of":    entries,
	"log undo --because":       nothing,
	"log find --near":          nothing,
	"log find --within":        nothing,
	"log find --piece":         loggedPieces,
	"log find --area":          loggedAreas,
	"log find --since":         nothing,
	"log find --until":         nothing,
	"log find --most":          nothing,
	"log drift --svg":          files("svg"),
	"log export --csv":         folder,
}
