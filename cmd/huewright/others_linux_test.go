package main

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/imageio"
	"huewright/internal/bench"
	"huewright/internal/figure"
	"huewright/internal/fixture"
)

// A contender is a program at the same work: commands that are run one after another.
type contender struct {
	name     string
	commands [][]string
	took     []float64 // processor time of each round, s
}

func (c *contender) installed() bool {
	path, err := exec.LookPath(c.commands[0][0])
	if err != nil || c.commands[0][0] != "convert" {
		return err == nil
	}
	version, err := exec.Command(path, "-version").Output()
	return err == nil && strings.Contains(string(version), "ImageMagick")
}

// run does the work once.
func (c *contender) run(t *testing.T, dir string) {
	sum := 0.0
	for _, words := range c.commands {
		cmd := exec.Command(words[0], words[1:]...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s: %s", c.name, out)
		sum += (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()
	}
	c.took = append(c.took, sum)
}

func (c *contender) median() float64 {
	slices.Sort(c.took)
	return c.took[len(c.took)/2]
}

// TestBesideOtherPrograms has two areas measured, start and all, in turn with other programs that decode the same photo, or cut the two
// areas out of it and average them. What counts is processor time, which other work on the machine does not change much, over that of a
// bare decoding in C. What is not installed is left out and named.
func TestBesideOtherPrograms(t *testing.T) {
	figure.NeedOthers(t)
	dir := t.TempDir()
	program := filepath.Join(dir, "huewright")
	build := exec.Command("go", "build", "-trimpath", "-tags", "nodynamic", "-ldflags", "-s -w", "-o", program, ".") // as .ci/release does
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
	for name, data := range photosBesideOthers(t) {
		photo, err := imageio.Decode(t.Context(), data, name)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "photo.jpg"), data, 0o600))
		all := contenders(program, [2][4]int{{300, 300, 300, 300}, {photo.Width * 3 / 4, photo.Height * 3 / 4, 300, 300}})
		for range 11 {
			for _, c := range all {
				if c.installed() {
					c.run(t, dir)
				}
			}
		}
		bare := all[0]
		require.True(t, bare.installed(), "the others are told beside djpeg: install libjpeg-turbo-progs")
		figure.Report(t, name+"/"+bare.name, "%.0f ms", 1000*bare.median())
		for _, c := range all[1:] {
			if !c.installed() {
				figure.Report(t, name+"/"+c.name, "not installed")
				continue
			}
			figure.Report(t, name+"/"+c.name, "%.1f", c.median()/bare.median())
		}
	}
}

// contenders are programs at the same work: first a bare decoding, then ours.
func contenders(program string, boxes [2][4]int) []*contender {
	ours := []string{program, "measure", "photo.jpg"}
	both := []string{"convert", "photo.jpg"}
	var one, vips [][]string
	for k, b := range boxes {
		ours = append(ours, "--area", fmt.Sprintf("%c=%d,%d,%d,%d", 'a'+k, b[0], b[1], b[2], b[3]))
		average := []string{"-crop", fmt.Sprintf("%dx%d+%d+%d", b[2], b[3], b[0], b[1]), "+repage", "-colorspace", "Lab", "-scale", "1x1!"}
		one = append(one, slices.Concat([]string{"convert", "photo.jpg"}, average, []string{"txt:-"}))
		both = slices.Concat(both, []string{"(", "-clone", "0"}, average, []string{")"})
		part := fmt.Sprintf("part%d.v", k)
		vips = append(vips, []string{"vips", "crop", "photo.jpg", part, fmt.Sprint(b[0]), fmt.Sprint(b[1]), fmt.Sprint(b[2]), fmt.Sprint(b[3])},
			[]string{"vips", "avg", part})
	}
	return []*contender{
		{name: "djpeg", commands: [][]string{{"djpeg", "-outfile", os.DevNull, "photo.jpg"}}},
		{name: "measure", commands: [][]string{ours}},
		{name: "measure, no reference", commands: [][]string{append(slices.Clone(ours), "--reference", "none")}},
		{name: "convert, one command", commands: [][]string{append(both, "-delete", "0", "txt:-")}},
		{name: "convert, two commands", commands: one},
		{name: "vips", commands: vips},
	}
}

// photosBesideOthers are real photos, one with a chart and one of 12 megapixels without, and a drawn one of 12 megapixels with a chart.
func photosBesideOthers(t *testing.T) map[string][]byte {
	withChart, err := os.ReadFile(fixture.NeedShared(t, "charts/jarrelscy/IMG_20140613_203438.jpg")[0])
	require.NoError(t, err)
	phone, err := imageio.Open(t.Context(), fixture.NeedShared(t, "formats/exif/iphone_13_pro_max.HEIC")[0])
	require.NoError(t, err)
	var without bytes.Buffer
	require.NoError(t, jpeg.Encode(&without, phone.AsImage(), &jpeg.Options{Quality: 93}))
	camera := bench.DrawCamera(5, bench.Phone)
	camera.Quality = 96
	view := bench.View{Width: 4032, Height: 3024, SamplesPerSide: 1}
	return map[string][]byte{
		"real, chart": withChart, "real, no chart": without.Bytes(),
		"drawn, chart": bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(view, camera).JPEG,
	}
}
