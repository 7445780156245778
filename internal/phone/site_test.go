package phone

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"go/format"
	"image/color"
	"image/png"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/andybalholm/brotli"
	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
)

func hasNode(t *testing.T) {
	if _, err := exec.LookPath("node"); err != nil {
		t.Skip("no Node.js here: the scripts of the site are not tried by themselves")
	}
}

// TestFileSystem holds the file system of a browser to what a disk does, with what was not flushed lost at moments of chance.
func TestFileSystem(t *testing.T) {
	t.Parallel()
	hasNode(t)
	runs := figure.Draws(200, 5000)
	out, err := exec.Command("node", "testdata/check.js", "20", strconv.Itoa(runs)).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "as a disk does")
}

// TestNamesSurvive hurts the journal of names in every place, fills the disk and kills the program at every byte: nothing that was
// answered is lost.
func TestNamesSurvive(t *testing.T) {
	t.Parallel()
	hasNode(t)
	step := 37
	if figure.Long() {
		step = 1
	}
	out, err := exec.Command("node", "testdata/hurt.js", strconv.Itoa(step)).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Contains(t, string(out), "nothing is lost")
}

// TestSiteIsWhole looks whether a browser finds all that it is told of, and that what changed is another version.
func TestSiteIsWhole(t *testing.T) {
	write := func(program string) (string, Site) {
		folder := filepath.Join(t.TempDir(), "site")
		s, err := Write(folder, []byte(program), []byte("// support"), brotli.DefaultCompression)
		require.NoError(t, err)
		return folder, s
	}
	folder, s := write("a program")
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		return data
	}
	var list fileList
	require.NoError(t, json.Unmarshal(read(s.Version+"/files.json"), &list))
	require.Equal(t, s.Version, list.Version)
	size, listed := 0, map[string]bool{}
	for _, f := range list.Files {
		size += f.Size
		if f.Packed == "" {
			require.Len(t, read(f.Path), f.Size, f.Path)
			listed[f.Path] = true
			continue
		}
		packed, err := gzip.NewReader(bytes.NewReader(read(f.Packed)))
		require.NoError(t, err)
		program, err := io.ReadAll(packed)
		require.NoError(t, err)
		require.Equal(t, "a program", string(program))
		smaller := read(f.Brotli)
		program, err = io.ReadAll(brotli.NewReader(bytes.NewReader(smaller)))
		require.NoError(t, err)
		require.Equal(t, "a program", string(program))
		require.Len(t, smaller, f.BrotliSize)
		require.Equal(t, s.Visit-f.Size+f.BrotliSize, s.Least)
		require.False(t, listed[f.Packed] || listed[f.Brotli], "it would come twice")
		listed[f.Packed], listed[f.Brotli] = true, true
	}
	require.Equal(t, size, s.Visit)
	require.Equal(t, size, list.Size)
	// Nothing lies there that nobody fetches.
	for _, other := range []string{"version.json", "sw-" + s.Version + ".js", s.Version + "/files.json"} {
		read(other)
		listed[other] = true
	}
	require.NoError(t, filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		name, _ := filepath.Rel(folder, path)
		require.True(t, d.IsDir() || listed[filepath.ToSlash(name)], name)
		return err
	}))
	for _, name := range []string{"index.html", "sw-" + s.Version + ".js"} {
		text := string(read(name))
		require.Contains(t, text, s.Version)
		require.NotContains(t, text, "VERSION")
		require.NotContains(t, text, "LIST")
	}
	// Under any path of a host: no address begins at its root.
	require.NotContains(t, string(read("index.html")), `="/`)
	require.NotContains(t, string(read("manifest.webmanifest")), `"/`)

	_, same := write("a program")
	require.Equal(t, s, same)
	_, other := write("another program")
	require.NotEqual(t, s.Version, other.Version)
	quick, err := Write(filepath.Join(t.TempDir(), "site"), []byte("a program"), []byte("// support"), 0)
	require.NoError(t, err)
	require.Equal(t, s.Version, quick.Version, "however it is packed, it is the same")
	require.Zero(t, quick.Least)
}

// TestMethodsOfTemplates has templates call the methods that they name, and no other: what Go is told to build with must say so.
func TestMethodsOfTemplates(t *testing.T) {
	source := []byte("package template\n\nfunc f() { method := ptr.MethodByName(fieldName) }\n")
	changed, err := namingMethods(source, []string{"Hex", "Width"})
	require.NoError(t, err)
	_, err = format.Source(changed)
	require.NoError(t, err)
	require.Contains(t, string(changed), `return v.MethodByName("Width")`)
	require.NotContains(t, string(changed), callsAny)
	_, err = namingMethods(changed, nil)
	require.ErrorContains(t, err, "text/template of this Go")

	names, err := namedInTemplates(t.Context())
	require.NoError(t, err)
	require.Subset(t, names, []string{"MayPlan", "FamilyWords", "Hex"}) // methods that the pages call
	out, err := exec.Command("go", "env", "GOROOT").Output()
	require.NoError(t, err)
	_, err = onlyNamedMethods(t.Context(), strings.TrimSpace(string(out)), t.TempDir())
	require.NoError(t, err)
}

// TestIconIsThatOfThePages draws the icon as small as its drawing is, and holds each part to the drawing of the pages.
func TestIconIsThatOfThePages(t *testing.T) {
	drawing, err := os.ReadFile("../web/static/icon.svg")
	require.NoError(t, err)
	data, err := icon(32)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	bars := regexp.MustCompile(`M(\d+) (\d+)V(\d+)h(\d+)v\d+z" fill="#(\w+)"`).FindAllStringSubmatch(string(drawing), -1)
	require.Len(t, bars, 3)
	for _, bar := range bars {
		var at [4]int // left, bottom, top, width
		for i := range at {
			at[i], err = strconv.Atoi(bar[i+1])
			require.NoError(t, err)
		}
		for _, p := range [][2]int{{at[0], at[2]}, {at[0] + at[3] - 1, at[1] - 1}} {
			r, g, b, _ := img.At(p[0], p[1]).RGBA()
			require.Equal(t, bar[5], fmt.Sprintf("%02x%02x%02x", r>>8, g>>8, b>>8), "at %v", p)
		}
	}
	require.Contains(t, string(drawing), `fill="#777"`)
	require.Equal(t, color.NRGBA{0x77, 0x77, 0x77, 255}, color.NRGBAModel.Convert(img.At(0, 0)))
}

// TestScriptsParse has each script of the site read by Node.js, which runs none.
func TestScriptsParse(t *testing.T) {
	hasNode(t)
	folder := filepath.Join(t.TempDir(), "site")
	s, err := Write(folder, []byte("a program"), []byte("// support"), 0)
	require.NoError(t, err)
	scripts, err := filepath.Glob(filepath.Join(folder, s.Version, "*.js"))
	require.NoError(t, err)
	scripts = append(scripts, filepath.Join(folder, "sw-"+s.Version+".js"))
	require.Greater(t, len(scripts), 4)
	for _, script := range scripts {
		out, err := exec.Command("node", "--check", script).CombinedOutput()
		require.NoError(t, err, "%s", out)
	}
	require.True(t, strings.HasPrefix(s.Version, filepath.Base(filepath.Dir(scripts[0]))))
}
