package container

import "fmt"

// Differences names, in words, what the camera did differently in another photo that bears on
// comparing their colours. What either photo does not tell is passed over.
func (f ShootingFacts) Differences(g ShootingFacts) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if differ(f.WhiteBalance, g.WhiteBalance) {
		say("white balance %s in one and %s in the other", f.WhiteBalance, g.WhiteBalance)
	}
	if differ(f.ExposureMode, g.ExposureMode) {
		say("exposure %s in one and %s in the other", f.ExposureMode, g.ExposureMode)
	}
	if f.Flash != g.Flash {
		say("flash in one and not in the other")
	}
	if (f.Scene == "night") != (g.Scene == "night") {
		say("night mode in one and not in the other")
	}
	if f.HDR != g.HDR {
		say("HDR in one and not in the other")
	}
	if differ(f.Make+" "+f.Model, g.Make+" "+g.Model) && f.Model != "" && g.Model != "" {
		say("taken with two cameras")
	}
	return out
}

func differ(a, b string) bool { return a != "" && b != "" && a != b }
