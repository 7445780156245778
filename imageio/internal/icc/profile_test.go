package icc

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/imageio/internal/bigendian"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

func profileFile(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(fixture.NeedShared(t, "formats/icc/"+name)[0])
	require.NoError(t, err)
	return data
}

// What transicc of Little CMS 2.14 (transicc -t1 -i PROFILE -o "*Lab", 8-bit codes in) gives,
// in Lab under D50.
func TestProfilesAgainstLittleCMS(t *testing.T) {
	worst := 0.0
	for _, c := range []struct {
		profile string
		code    [3]uint8
		want    colour.Lab
	}{
		{"A*Compat-v4.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 45.1498, A: 24.7488, B: 31.2657}},
		{"A*Compat-v4.icc", [3]uint8{255, 40, 0}, colour.Lab{L: 63.4865, A: 87.3727, B: 78.6773}},
		{"A*Compat-v4.icc", [3]uint8{200, 200, 200}, colour.Lab{L: 81.0698, A: 0.0004, B: -0.0004}},
		{"DisplayP3-v2-micro.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 43.5249, A: 22.6283, B: 30.0228}},
		{"DisplayP3-v2-micro.icc", [3]uint8{20, 10, 5}, colour.Lab{L: 3.5164, A: 3.9599, B: 3.5778}},
		{"DisplayP3-v4.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 43.5193, A: 22.6439, B: 30.0275}},
		{"DisplayP3-v4.icc", [3]uint8{90, 120, 180}, colour.Lab{L: 50.1035, A: 0.4141, B: -38.5173}},
		{"Pro*-v4.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 52.3536, A: 39.2948, B: 33.9050}},
		{"Pro*-v4.icc", [3]uint8{20, 10, 5}, colour.Lab{L: 4.5531, A: 15.1017, B: 5.9416}},
		{"Rec2020-v4.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 49.6260, A: 29.3007, B: 29.5440}},
		{"Rec2020-v4.icc", [3]uint8{20, 10, 5}, colour.Lab{L: 9.7575, A: 10.1596, B: 9.8381}},
		{"sRGB-v2-magic.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 43.1496, A: 17.8808, B: 25.7300}},
		{"sRGB-v2-magic.icc", [3]uint8{20, 10, 5}, colour.Lab{L: 3.4534, A: 3.0144, B: 3.1781}},
		{"sRGB-v4.icc", [3]uint8{138, 90, 60}, colour.Lab{L: 43.1484, A: 17.8828, B: 25.7269}},
		{"sGrey-v4.icc", [3]uint8{60, 60, 60}, colour.Lab{L: 25.3167}},
		{"sGrey-v4.icc", [3]uint8{250, 250, 250}, colour.Lab{L: 98.2720}},
	} {
		p, err := ParseProfile(profileFile(t, c.profile))
		require.NoError(t, err, c.profile)
		light := p.Transfer(8).Linear(uint16(c.code[0]), uint16(c.code[1]), uint16(c.code[2]))
		underD50 := colour.Adaptation(colour.WhiteD65, colour.WhiteD50).Apply(light.XYZ()).LabUnder(colour.WhiteD50)
		off := colour.DeltaE2000(c.want, underD50)
		require.Less(t, off, 0.1, "%s %v: %v, want %v", c.profile, c.code, underD50, c.want)
		worst = max(worst, off)
	}
	figure.Report(t, "profiles", "%.2f", worst)
}

// An embedded sRGB profile means what none means.
func TestProfileOfSRGB(t *testing.T) {
	for _, name := range []string{"sRGB-v2-magic.icc", "sRGB-v4.icc"} {
		p, err := ParseProfile(profileFile(t, name))
		require.NoError(t, err)
		with, without := p.Transfer(16), SRGBTransfer(16)
		for v := 0; v < 65536; v += 257 * 15 {
			a, b := with.Linear(uint16(v), 20000, 40000), without.Linear(uint16(v), 20000, 40000)
			require.Less(t, colour.DeltaE2000(a.Lab(), b.Lab()), 0.1, "%s code %d", name, v)
		}
	}
}

func TestProfilesRefused(t *testing.T) {
	good := profileFile(t, "DisplayP3-v4.icc")
	broken := func(change func([]byte)) []byte {
		data := append([]byte(nil), good...)
		change(data)
		return data
	}
	tag := func(data []byte, name string) []byte { // the bytes of a tag, to be changed
		for i := range int(bigendian.Uint32(data, 128)) {
			if at := 132 + 12*i; string(data[at:at+4]) == name {
				return data[bigendian.Uint32(data, at+4):]
			}
		}
		t.Fatalf("no %s", name)
		return nil
	}
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"empty":           {nil, "is not an ICC profile"},
		"cut":             {good[:140], "has a damaged tone curve"},
		"other space":     {broken(func(d []byte) { copy(d[16:], "HSV ") }), "is for HSV, not for RGB, grey or CMYK"},
		"tag outside":     {broken(func(d []byte) { binary.BigEndian.PutUint32(d[132+4:], math.MaxUint32) }), ""},
		"no curve":        {broken(func(d []byte) { copy(tag(d, "rTRC"), "xxxx") }), "has a damaged tone curve"},
		"curve not there": {broken(func(d []byte) { binary.BigEndian.PutUint16(tag(d, "rTRC")[8:], 9) }), "has a damaged tone curve"},
		"flat curve":      {broken(func(d []byte) { copy(tag(d, "rTRC")[12:32], make([]byte, 20)) }), "has a damaged tone curve"},
		"black primaries": {broken(func(d []byte) { copy(tag(d, "rXYZ")[8:20], make([]byte, 12)) }), "has primaries that make no white"},
	} {
		_, err := ParseProfile(c.data)
		if c.want != "" {
			require.EqualError(t, err, c.want, name)
		}
	}
}

// A real profile whose colorants are not of the type they must be. Little CMS 2.14 does not
// link it either.
func TestProfileWithBadColorants(t *testing.T) {
	data, err := os.ReadFile(fixture.NeedShared(t, "formats/sharp/invalid-illuminant.icc")[0])
	require.NoError(t, err)
	_, err = ParseProfile(data)
	require.EqualError(t, err, "lacks a primary")
}

// Code points and the profile of the same name agree.
func TestCodePoints(t *testing.T) {
	for points, file := range map[Coding]string{
		{Primaries: 12, Curve: 13}: "DisplayP3-v4.icc",
		{Primaries: 1, Curve: 13}:  "sRGB-v4.icc",
	} {
		want, err := ParseProfile(profileFile(t, file))
		require.NoError(t, err)
		got, known := points.Profile()
		require.True(t, known)
		a, b := want.Transfer(8).Linear(138, 90, 60), got.Transfer(8).Linear(138, 90, 60)
		require.Less(t, colour.DeltaE2000(a.Lab(), b.Lab()), 0.1, file)
	}
	want, err := ParseProfile(profileFile(t, "A*Compat-v4.icc"))
	require.NoError(t, err)
	a, b := want.Transfer(8).Linear(138, 90, 60), OpRGBProfile().Transfer(8).Linear(138, 90, 60)
	require.Less(t, colour.DeltaE2000(a.Lab(), b.Lab()), 0.1)

	_, known := (&Coding{Primaries: 99, Curve: 13}).Profile()
	require.False(t, known)
	_, known = (&Coding{Primaries: 1, Curve: 99}).Profile()
	require.False(t, known)
	require.True(t, (&Coding{Primaries: 9, Curve: curvePQ}).HighRange())
}

// The matrices of ITU-R BT.2087-0 (2015), table 2, read backwards: BT.2020 to BT.709.
func TestPrimariesBT2020(t *testing.T) {
	want := colour.Matrix{{1.6605, -0.5876, -0.0728}, {-0.1246, 1.1329, -0.0083}, {-0.0182, -0.1006, 1.1187}}
	got := fromPrimaries(primariesByPoint[9])
	for i := range 3 {
		for j := range 3 {
			require.InDelta(t, want[i][j], got[i][j], 2e-4)
		}
	}
}

func FuzzParseProfile(f *testing.F) {
	paths, _ := filepath.Glob(fixture.Shared("formats/icc/*.icc"))
	for _, path := range paths {
		if data, err := os.ReadFile(path); err == nil && len(data) < 1000 {
			f.Add(data)
		}
	}
	f.Add([]byte("acsp"))
	for _, data := range tableProfiles() {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := ParseProfile(data)
		if err != nil {
			return
		}
		transfer := p.Transfer(8)
		if p.Inks {
			c := transfer.Convert(Channels{0.3, 1, 0, 0.7})
			require.False(t, math.IsNaN(c.R+c.G+c.B) || math.IsInf(c.R+c.G+c.B, 0), "%v", c)
		}
		for _, code := range []uint16{0, 1, 128, 254, 255} {
			c := transfer.Linear(code, 255-code, 0)
			require.False(t, math.IsNaN(c.R+c.G+c.B) || math.IsInf(c.R+c.G+c.B, 0), "%v", c)
		}
	})
}
