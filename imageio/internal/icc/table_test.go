package icc

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fixture"
)

// tagged is the smallest profile with one tag that leads to the connection space.
func tagged(space, connection, tag string, body []byte) []byte {
	head := make([]byte, 128)
	binary.BigEndian.PutUint32(head[8:], 0x04300000)
	copy(head[12:], "scnr"+space+connection)
	copy(head[36:], "acsp")
	for i, v := range []float64{colour.WhiteD50.X, colour.WhiteD50.Y, colour.WhiteD50.Z} {
		binary.BigEndian.PutUint32(head[68+4*i:], uint32(math.Round(v*65536)))
	}
	white := append([]byte("XYZ \x00\x00\x00\x00"), head[68:80]...)
	data := binary.BigEndian.AppendUint32(head, 2)
	data = append(data, "wtpt"...)
	data = binary.BigEndian.AppendUint32(data, 156)
	data = binary.BigEndian.AppendUint32(data, uint32(len(white)))
	data = append(data, tag...)
	data = binary.BigEndian.AppendUint32(data, uint32(156+len(white)))
	data = binary.BigEndian.AppendUint32(data, uint32(len(body)))
	data = append(append(data, white...), body...)
	binary.BigEndian.PutUint32(data, uint32(len(data)))
	return data
}

// ripple is a value of a made-up table: smooth, and different everywhere.
func ripple(channel int, at ...float64) float64 {
	sum := 0.1 + 0.2*float64(channel)/2
	for i, v := range at {
		sum += (0.7 - 0.1*float64((i+channel)%3)) * v / float64(len(at))
	}
	return sum + 0.03*math.Sin(7*sum+float64(channel))
}

func appendValue(data []byte, v float64, width int) []byte {
	if width == 1 {
		return append(data, uint8(math.Round(v*255)))
	}
	return binary.BigEndian.AppendUint16(data, uint16(math.Round(v*65535)))
}

// uniformTable is a tag of lut8Type or lut16Type with made-up content.
func uniformTable(inputs, points, width int) []byte {
	body := []byte("mft1\x00\x00\x00\x00")
	if width == 2 {
		body[3] = '2'
	}
	body = append(body, uint8(inputs), 3, uint8(points), 0)
	for i := range 9 {
		body = binary.BigEndian.AppendUint32(body, map[bool]uint32{true: 65536}[i%4 == 0])
	}
	entries := 256
	if width == 2 {
		entries = 17
		body = append(body, 0, 17, 0, 17)
	}
	for i := range inputs {
		for k := range entries {
			body = appendValue(body, math.Pow(float64(k)/float64(entries-1), 1.2+0.3*float64(i)), width)
		}
	}
	body = appendGrid(body, width, 0, make([]int, 0), inputs, func(int) int { return points })
	for i := range 3 {
		for k := range entries {
			body = appendValue(body, math.Pow(float64(k)/float64(entries-1), 1.1-0.1*float64(i)), width)
		}
	}
	return body
}

// appendGrid appends the crossings below the ones already chosen, the last input fastest.
func appendGrid(body []byte, width, depth int, chosen []int, inputs int, points func(int) int) []byte {
	if depth == inputs {
		at := make([]float64, inputs)
		for i, k := range chosen {
			at[i] = float64(k) / float64(points(i)-1)
		}
		for channel := range 3 {
			body = appendValue(body, ripple(channel, at...), width)
		}
		return body
	}
	for k := range points(depth) {
		body = appendGrid(body, width, depth+1, append(chosen, k), inputs, points)
	}
	return body
}

// stagedTable is a tag of lutAToBType with all its parts.
func stagedTable(inputs, width int) []byte {
	body := append([]byte("mAB \x00\x00\x00\x00"), uint8(inputs), 3, 0, 0)
	body = append(body, make([]byte, 20)...)
	here := func(at int) { binary.BigEndian.PutUint32(body[at:], uint32(len(body))) }
	gamma := func(g float64) {
		body = append(body, "para\x00\x00\x00\x00\x00\x00\x00\x00"...)
		body = binary.BigEndian.AppendUint32(body, uint32(math.Round(g*65536)))
	}
	points := func() { // three points, whose bytes do not fill whole words
		body = append(body, "curv\x00\x00\x00\x00\x00\x00\x00\x03\x00\x00\x90\x00\xff\xff\x00\x00"...)
	}
	here(12)
	gamma(1.1)
	points()
	gamma(0.9)
	here(16)
	for _, v := range []float64{0.9, 0.05, 0.02, 0.03, 0.85, 0.05, 0.02, 0.04, 0.88, 0.01, 0.02, 0.015} {
		body = binary.BigEndian.AppendUint32(body, uint32(int32(math.Round(v*65536))))
	}
	here(20)
	points()
	gamma(1.2)
	points()
	here(24)
	sides := []int{3, 5, 4, 6}
	for i := range 16 {
		if i < inputs {
			body = append(body, uint8(sides[i]))
		} else {
			body = append(body, 0)
		}
	}
	body = append(body, uint8(width), 0, 0, 0)
	body = appendGrid(body, width, 0, make([]int, 0), inputs, func(i int) int { return sides[i] })
	for len(body)%4 != 0 {
		body = append(body, 0)
	}
	here(28)
	for i := range inputs {
		if i == 1 {
			points()
		} else {
			gamma(1.5 + 0.1*float64(i))
		}
	}
	return body
}

// tableProfiles are profiles of every kind of table, made up here.
func tableProfiles() map[string][]byte {
	return map[string][]byte{
		"8-bit, RGB to Lab":          tagged("RGB ", "Lab ", "A2B0", uniformTable(3, 7, 1)),
		"16-bit, RGB to XYZ":         tagged("RGB ", "XYZ ", "A2B1", uniformTable(3, 6, 2)),
		"16-bit, RGB to Lab":         tagged("RGB ", "Lab ", "A2B0", uniformTable(3, 4, 2)),
		"16-bit, grey to Lab":        tagged("GRAY", "Lab ", "A2B0", uniformTable(1, 9, 2)),
		"8-bit, CMYK to Lab":         tagged("CMYK", "Lab ", "A2B0", uniformTable(4, 4, 1)),
		"staged, 8-bit, RGB to Lab":  tagged("RGB ", "Lab ", "A2B0", stagedTable(3, 1)),
		"staged, 16-bit, RGB to XYZ": tagged("RGB ", "XYZ ", "A2B0", stagedTable(3, 2)),
		"staged, 16-bit, CMYK":       tagged("CMYK", "Lab ", "A2B1", stagedTable(4, 2)),
	}
}

// What transicc of Little CMS 2.14 gives (transicc -c0 -t1 -n -i PROFILE -o "*Lab", RGB and grey
// as 0–255, CMYK in per cent), in Lab under D50. The profiles were those of tableProfiles,
// written to files.
func TestTablesAgainstLittleCMS(t *testing.T) {
	codes := []Channels{{138. / 255, 90. / 255, 60. / 255, 0.1}, {0.9, 0.2, 0.7, 0.35}, {0.05, 0.5, 0.95, 0.6}}
	profiles := tableProfiles()
	for name, want := range map[string][3]colour.Lab{
		"8-bit, RGB to Lab": {
			{L: 25.8091, A: -41.7160, B: -12.1634}, {L: 38.3810, A: -4.1401, B: 24.4008},
			{L: 31.5755, A: -13.3774, B: 24.0000},
		},
		"16-bit, RGB to XYZ": {
			{L: 86.0030, A: -32.6747, B: -30.8029}, {L: 98.9389, A: -31.9967, B: -28.3056},
			{L: 96.0522, A: -48.5861, B: -32.7603},
		},
		"16-bit, RGB to Lab": {
			{L: 25.7996, A: -40.7031, B: -10.7539}, {L: 38.4528, A: -2.7617, B: 25.4805},
			{L: 31.7249, A: -12.4883, B: 24.2305},
		},
		"16-bit, grey to Lab": {
			{L: 40.4718, A: -10.4531, B: 15.3359}, {L: 66.5947, A: 57.1875, B: 72.9297},
			{L: 11.7188, A: -68.0156, B: -44.3672},
		},
		"8-bit, CMYK to Lab": {
			{L: 22.2385, A: -48.7315, B: -20.9650}, {L: 33.4264, A: -18.4786, B: 9.1012},
			{L: 31.8807, A: -17.5136, B: 16.5720},
		},
		"staged, 8-bit, RGB to Lab": {
			{L: 31.3582, A: -41.4942, B: 4.7378}, {L: 45.4314, A: -0.1206, B: 37.0710},
			{L: 39.8613, A: -7.4591, B: 39.2967},
		},
		"staged, 16-bit, RGB to XYZ": {
			{L: 85.9007, A: -6.1065, B: -40.4082}, {L: 100.2167, A: -10.9833, B: -32.0836},
			{L: 97.8408, A: -21.8521, B: -37.1342},
		},
		"staged, 16-bit, CMYK": {
			{L: 27.1823, A: -50.3307, B: -7.5700}, {L: 40.1951, A: -16.7938, B: 23.4892},
			{L: 39.8568, A: -12.3619, B: 32.5021},
		},
	} {
		p, err := ParseProfile(profiles[name])
		require.NoError(t, err, name)
		for i, v := range codes {
			requireTable(t, p, v, want[i], name)
		}
	}
}

// The same for real profiles: a public one of a press, and the ones in two photos.
func TestRealTablesAgainstLittleCMS(t *testing.T) {
	type pair struct {
		code Channels // CMYK in per cent, RGB as 0–255
		want colour.Lab
	}
	for file, c := range map[string]struct {
		top   float64
		pairs []pair
	}{
		"icc/CGATS001Compat-v2-micro.icc": {100, []pair{
			{Channels{0, 0, 0, 0}, colour.Lab{L: 100}},
			{Channels{10, 20, 30, 5}, colour.Lab{L: 79.0640, A: 6.3555, B: 15.0781}},
			{Channels{30, 50, 70, 10}, colour.Lab{L: 56.0279, A: 14.2422, B: 26.7070}},
			{Channels{100, 100, 0, 0}, colour.Lab{L: 25.3324, A: 25.2695, B: -55.3320}},
			{Channels{20, 80, 90, 40}, colour.Lab{L: 34.3015, A: 33.3672, B: 33.1289}},
			{Channels{55, 3, 91, 17}, colour.Lab{L: 61.3741, A: -31.2578, B: 41.9727}},
		}},
		"sharp/Channel_digital_image_CMYK_color.jpg": {100, []pair{
			{Channels{10, 20, 30, 5}, colour.Lab{L: 79.6676, A: 6.0898, B: 14.5899}},
			{Channels{30, 50, 70, 10}, colour.Lab{L: 57.4694, A: 13.7227, B: 24.6602}},
			{Channels{20, 80, 90, 40}, colour.Lab{L: 38.2307, A: 28.9258, B: 24.2500}},
			{Channels{0, 0, 0, 100}, colour.Lab{L: 22.3529, A: 1.0703, B: 0.0586}},
			{Channels{55, 3, 91, 17}, colour.Lab{L: 62.8202, A: -29.4844, B: 38.3281}},
		}},
		"pillow/icc_profile_big.jpg": {255, []pair{
			{Channels{138, 90, 60}, colour.Lab{L: 48.2583, A: 16.7461, B: 23.4180}},
			{Channels{255, 40, 0}, colour.Lab{L: 57.0512, A: 73.5859, B: 68.9023}},
			{Channels{20, 10, 5}, colour.Lab{L: 9.1039, A: 5.7930, B: 7.7227}},
			{Channels{90, 120, 180}, colour.Lab{L: 55.1302, A: -1.2617, B: -31.9609}},
			{Channels{255, 255, 255}, colour.Lab{L: 100}},
		}},
	} {
		data, err := os.ReadFile(fixture.NeedShared(t, "formats/"+file)[0])
		require.NoError(t, err)
		if data[0] == 0xff {
			data = profileInJPEG(data)
		}
		p, err := ParseProfile(data)
		require.NoError(t, err, file)
		for _, pair := range c.pairs {
			v := pair.code
			for i := range v {
				v[i] /= c.top
			}
			requireTable(t, p, v, pair.want, file)
		}
	}
}

// profileInJPEG joins the profile that a JPEG carries in segments of the kind APP2, in order, as annex B.4
// of ICC.1 has them.
func profileInJPEG(data []byte) (profile []byte) {
	const mark = "ICC_PROFILE\x00"
	for at := 2; at+4 <= len(data) && data[at] == 0xff && data[at+1] != 0xda; {
		length := int(data[at+2])<<8 | int(data[at+3])
		if body := data[at+4 : at+2+length]; data[at+1] == 0xe2 && bytes.HasPrefix(body, []byte(mark)) {
			profile = append(profile, body[len(mark)+2:]...)
		}
		at += 2 + length
	}
	return profile
}

func requireTable(t *testing.T, p *Profile, v Channels, want colour.Lab, name string) {
	t.Helper()
	got := colour.Adaptation(colour.WhiteD65, colour.WhiteD50).Apply(p.table.linear(v).XYZ()).LabUnder(colour.WhiteD50)
	require.Less(t, colour.DeltaE2000(want, got), 0.1, "%s %v: %v, want %v", name, v, got, want)
}

// Whatever of a table is missing or beside the point, it is said and not read.
func TestTablesRefused(t *testing.T) {
	for name, whole := range tableProfiles() {
		_, err := ParseProfile(whole[:len(whole)-2])
		require.Error(t, err, "%s, cut", name)
		for what, change := range map[string]func([]byte){
			"no such type":  func(b []byte) { copy(b, "mft9") },
			"inputs":        func(b []byte) { b[8]++ },
			"outputs":       func(b []byte) { b[9] = 4 },
			"far too large": func(b []byte) { copy(b[10:], "\xff"); copy(b[24:28], "\xff\xff\xff\xf0") },
		} {
			data := append([]byte(nil), whole...)
			change(data[176:])
			_, err := ParseProfile(data)
			require.EqualError(t, err, "has a damaged table", "%s: %s", name, what)
		}
	}
}

// A grey profile may lead to lightness instead of light. Figures of transicc of Little CMS 2.14
// for a curve of the power 1: L* 23.5294 for code 60, 78.4314 for code 200.
func TestGreyLightness(t *testing.T) {
	p, err := ParseProfile(tagged("GRAY", "Lab ", "kTRC", []byte("curv\x00\x00\x00\x00\x00\x00\x00\x01\x01\x00")))
	require.NoError(t, err)
	for code, want := range map[uint16]float64{60: 23.5294, 200: 78.4314} {
		require.InDelta(t, want, p.Transfer(8).Linear(code, code, code).Lab().L, 0.01)
	}
}
