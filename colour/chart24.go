package colour

// Edition tells which published values a 24-patch chart was made to.
type Edition int

// The formulation of the chart changed in November 2014; most charts in use are newer. The
// two differ by about one ΔE00 on average, which is less than a phone gets wrong.
const (
	Since2014 Edition = iota
	Before2014
)

// A ChartPatch is one patch of the chart and the colour it is published to have.
type ChartPatch struct {
	Name string
	Lab  Lab // D65: adapted from the published D50 by Bradford
}

// Chart24 returns the 24 patches of the chart row by row, from the dark brown to the black:
// six to a row, natural colours first and greys last.
//
// Source: the maker's published L*a*b* (D50, 2°) of both editions, as collected by the
// Python library colour-science (BSD-3).
func Chart24(e Edition) [24]ChartPatch {
	toD65 := Adaptation(WhiteD50, WhiteD65)
	var patches [24]ChartPatch
	for i, p := range chart24 {
		lab := p.since
		if e == Before2014 {
			lab = p.before
		}
		patches[i] = ChartPatch{p.name, toD65.Apply(lab.XYZUnder(WhiteD50)).Lab()}
	}
	return patches
}

var chart24 = [24]struct {
	name          string
	before, since Lab // D50
}{
	{"dark brown", Lab{37.986, 13.555, 14.059}, Lab{37.54, 14.37, 14.92}},
	{"light skin", Lab{65.711, 18.130, 17.810}, Lab{64.66, 19.27, 17.50}},
	{"sky blue", Lab{49.927, -4.880, -21.905}, Lab{49.32, -3.82, -22.54}},
	{"leaf green", Lab{43.139, -13.095, 21.905}, Lab{43.46, -12.74, 22.72}},
	{"blue flower", Lab{55.112, 8.844, -25.399}, Lab{54.94, 9.61, -24.79}},
	{"bluish green", Lab{70.719, -33.397, -0.199}, Lab{70.48, -32.26, -0.37}},
	{"orange", Lab{62.661, 36.067, 57.096}, Lab{62.73, 35.83, 56.50}},
	{"purplish blue", Lab{40.020, 10.410, -45.964}, Lab{39.43, 10.75, -45.17}},
	{"moderate red", Lab{51.124, 48.239, 16.248}, Lab{50.57, 48.64, 16.67}},
	{"purple", Lab{30.325, 22.976, -21.587}, Lab{30.10, 22.54, -20.87}},
	{"yellow green", Lab{72.532, -23.709, 57.255}, Lab{71.77, -24.13, 58.19}},
	{"orange yellow", Lab{71.941, 19.363, 67.857}, Lab{71.51, 18.24, 67.37}},
	{"blue", Lab{28.778, 14.179, -50.297}, Lab{28.37, 15.42, -49.80}},
	{"green", Lab{55.261, -38.342, 31.370}, Lab{54.38, -39.72, 32.27}},
	{"red", Lab{42.101, 53.378, 28.190}, Lab{42.43, 51.05, 28.62}},
	{"yellow", Lab{81.733, 4.039, 79.819}, Lab{81.80, 2.67, 80.41}},
	{"magenta", Lab{51.935, 49.986, -14.574}, Lab{50.63, 51.28, -14.12}},
	{"cyan", Lab{51.038, -28.631, -28.638}, Lab{49.57, -29.71, -28.32}},
	{"white", Lab{96.539, -0.425, 1.186}, Lab{95.19, -1.03, 2.93}},
	{"light grey", Lab{81.257, -0.638, -0.335}, Lab{81.29, -0.57, 0.44}},
	{"grey", Lab{66.766, -0.734, -0.504}, Lab{66.89, -0.75, -0.06}},
	{"mid grey", Lab{50.867, -0.153, -0.270}, Lab{50.76, -0.13, 0.14}},
	{"dark grey", Lab{35.656, -0.421, -1.231}, Lab{35.63, -0.46, -0.48}},
	{"black", Lab{20.461, -0.079, -0.973}, Lab{20.64, 0.07, -0.46}},
}

// NearWood reports whether c is a colour whose errors speak for wood: within 30 CIE76 of the
// line from a dark red-brown wood (L* 35, a* 14, b* 15) to a pale yellow one (82, 4, 21),
// between which the common furniture woods lie. Of the chart these are the dark brown, the
// light skin, the leaf green and the six greys: the easier patches, so a mean over them is no
// match for one over the strong oranges and yellows.
func NearWood(c Lab) bool {
	dark, pale := Lab{35, 14, 15}, Lab{82, 4, 21}
	along := Lab{pale.L - dark.L, pale.A - dark.A, pale.B - dark.B}
	t := (c.L-dark.L)*along.L + (c.A-dark.A)*along.A + (c.B-dark.B)*along.B
	t /= along.L*along.L + along.A*along.A + along.B*along.B
	t = min(max(t, 0), 1)
	return DeltaE76(c, Lab{dark.L + t*along.L, dark.A + t*along.A, dark.B + t*along.B}) <= 30
}
