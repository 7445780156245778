// Package figure serves tests that estimate a rate or an error rather than check one case. [Draws] says how many
// draws to make, [AtLeast] checks a share, and [Report] prints the estimate in the form that internal/bench/figures
// collects for FIGURES.md.
//
// By default the draws are few, so that "go test ./..." takes minutes. With HUEWRIGHT_LONG=1 in the
// environment every test makes all of its draws and asserts every bound; .ci/run and .ci/figures set it. It is
// an environment variable because "go test ./... -args -long" fails in packages that do not define the flag.
//
// A short run asserts what its draws support: a bound on the mean as it is, and a bound on a share only where
// one draw more or less does not decide it. No bound is looser in the long run than in the short one.
package figure

import (
	"fmt"
	"math"
	"os"
	"testing"
)

// Variable is the environment variable that asks for the long draws, by the value 1.
const Variable = "HUEWRIGHT_LONG"

// Mark is how a line with a figure begins, after what the testing package puts before it.
const Mark = "FIGURE\t"

// Long reports whether the long draws are asked for.
func Long() bool { return os.Getenv(Variable) == "1" }

// OthersVariable is the environment variable that asks, by the value 1, for timing other programs and libraries at the same work.
const OthersVariable = "HUEWRIGHT_OTHERS"

// NeedOthers skips a test unless it is asked to time other programs, as .ci/speed does.
func NeedOthers(t testing.TB) {
	t.Helper()
	if os.Getenv(OthersVariable) != "1" {
		t.Skip("only by .ci/speed")
	}
}

// Draws returns how many draws to make: few, or all of them in the long run.
func Draws(few, all int) int {
	if Long() {
		return all
	}
	return few
}

// Report prints one figure under its key, which is any text without tabs and braces, and stands in
// internal/bench/figures/figures.toml. Each key is printed once.
func Report(t testing.TB, key, format string, values ...any) {
	t.Helper()
	t.Log(Mark + key + "\t" + fmt.Sprintf(format, values...))
}

// Slack is what a short run allows a share p of n independent trials to be off by chance: three standard
// errors. In the long run it is 0, and bounds are as they stand.
func Slack(p, n float64) float64 {
	if Long() {
		return 0
	}
	return 3 * math.Sqrt(p*(1-p)/n)
}

// AtLeast requires that a share of n trials is no less than a bound, in a short run within Slack.
func AtLeast(t testing.TB, bound, share, n float64, about ...any) {
	t.Helper()
	if least := bound - Slack(bound, n); share < least {
		t.Fatalf("%.3f of %.0f, and %.3f is the least (bound %.3f): %s", share, n, least, bound, fmt.Sprint(about...))
	}
}
