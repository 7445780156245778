package main

import (
	"bytes"
	"fmt"
	"image/jpeg"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

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
	program := release(t, dir)
	for name, data := range photosBesideOthers(t) {
		photo, err := imageio.Decode(t.Context(), data, name)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "photo.jpg"), data, 0o600))
		all := contenders(program, [2][4]int{{300, 300, 300, 300}, {photo.Width*3/4 - 100, photo.Height*3/4 - 100, 300, 300}})
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
		measure := exec.Command(program, all[1].commands[0][1:]...)
		measure.Dir = dir
		_, peak := watched(t, measure)
		figure.Report(t, name+"/peak", "%.0f MB", peak)
	}
}

// watched runs a command, and returns how long it took in seconds, and how much memory at most in MB.
func watched(t *testing.T, cmd *exec.Cmd) (seconds, peak float64) {
	start := time.Now()
	require.NoError(t, cmd.Start())
	ended, peaks := make(chan struct{}), make(chan float64)
	go func() { peaks <- peakOf(cmd.Process.Pid, ended) }()
	err := cmd.Wait()
	seconds = time.Since(start).Seconds()
	close(ended)
	peak = <-peaks
	require.NoError(t, err)
	return seconds, peak
}

// TestManyPhotos has 100 drawn photos of 12 megapixels measured by one command. What counts is how many there are in a second, which other
// work on the machine lessens: the best of three times is told, with the processor time that a photo took.
func TestManyPhotos(t *testing.T) {
	figure.NeedOthers(t)
	dir := t.TempDir()
	program := release(t, dir)
	args := []string{"measure", "--area", "all=1200,1000,400,400"}
	photo := drawnPhoto(4032, 3024)
	const many = 100
	for i := range many {
		name := fmt.Sprintf("photo-%02d.jpg", i)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), photo, 0o600))
		args = append(args, name)
	}
	best, most, processor := math.Inf(1), 0.0, math.Inf(1)
	for range 3 {
		cmd := exec.Command(program, args...)
		cmd.Dir = dir
		seconds, peak := watched(t, cmd)
		best, most = min(best, seconds), max(most, peak)
		processor = min(processor, (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds())
	}
	figure.Report(t, "many/photos a second", "%.1f", many/best)
	figure.Report(t, "many/peak", "%.0f MB", most)
	figure.Report(t, "many/processor", "%.0f ms", 1000*processor/many)
}

// release builds the program in a folder, as .ci/release does.
func release(t *testing.T, dir string) (program string) {
	program = filepath.Join(dir, "huewright")
	build := exec.Command("go", "build", "-trimpath", "-tags", "nodynamic", "-ldflags", "-s -w", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	out, err := build.CombinedOutput()
	require.NoError(t, err, string(out))
	return program
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
		crop := []string{"vips", "crop", "photo.jpg", part, fmt.Sprint(b[0]), fmt.Sprint(b[1]), fmt.Sprint(b[2]), fmt.Sprint(b[3])}
		vips = append(vips, crop, []string{"vips", "avg", part})
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

// photosBesideOthers are real photos, one with a chart and one of 12 megapixels without, and drawn ones of 12 and 48 megapixels with a
// chart.
func photosBesideOthers(t *testing.T) map[string][]byte {
	withChart, err := os.ReadFile(fixture.NeedShared(t, "charts/jarrelscy/IMG_20140613_203438.jpg")[0])
	require.NoError(t, err)
	phone, err := imageio.Open(t.Context(), fixture.NeedShared(t, "formats/exif/iphone_13_pro_max.HEIC")[0])
	require.NoError(t, err)
	var without bytes.Buffer
	require.NoError(t, jpeg.Encode(&without, phone.AsImage(), &jpeg.Options{Quality: 93}))
	return map[string][]byte{
		"real, chart": withChart, "real, no chart": without.Bytes(),
		"drawn, chart": drawnPhoto(4032, 3024), "drawn, 48 MP": drawnPhoto(8064, 6048),
	}
}

// drawnPhoto is a cabinet with a chart, compressed as little as phones do.
func drawnPhoto(wide, high int) []byte {
	camera := bench.DrawCamera(5, bench.Phone)
	camera.Quality = 96
	view := bench.View{Width: wide, Height: high, SamplesPerSide: 1}
	return bench.Cabinet(bench.CabinetOptions{Seed: 5}).Shoot(view, camera).JPEG
}
