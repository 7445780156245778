// Package repair judges a touched-up repair against the wood round it.
//
// It takes an [Appearance]: the repair beside its ring of wood, and many equal patches of the same wood beside
// theirs. [Appearance.ViewFrom] ranks how unlike the repair is among the patches and says what of it an eye would see;
// [Judge] makes a [Verdict] of views from several distances, [Advise] says what to do next, and [LightRisks] whether
// the match may break under another light.
//
// Files in reading order: rank.go, view.go, verdict.go, touch.go, advice.go, lights.go. Colours are CIELAB under the
// conventions of package colour, directions of grain degrees from level, distances millimetres.
package repair
