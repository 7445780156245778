// Package phone builds the folder of static files with which a browser runs the whole program itself: put on any host that
// speaks https, it needs nothing behind it, and no signal after the first visit.
//
// [Build] has Go build the program (cmd/huewright-phone) as WebAssembly and calls [Write], which lays it into a folder with what
// stands in site:
//
//   - index.html and shell.js stay while pages come and go in a frame of theirs: they fetch the program, own the worker that
//     runs it, let one tab at a time have it, and offer newer versions;
//   - sw.js, the service worker, hands the requests of the pages to the program;
//   - worker.js runs the program, and photos.js decodes for it what it cannot; fs.js is the file system that it sees, names.js keeps
//     which file has which name.
//
// All but a few files lie in a folder that is called by the hash of them all, which is the version of the site: a browser has
// the files of one version, and takes those of another only when it is asked to.
package phone

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/andybalholm/brotli"
)

//go:embed site
var site embed.FS

// Tags are the build tags of the program in a browser.
const Tags = "nodynamic sqlite3_dotlk"

const program = "huewright/cmd/huewright-phone"

// seldom are packages where little of the time goes. Compiled without inlining they come in a thirtieth less of the whole.
var seldom = []string{
	"huewright/internal/logbook", "huewright/internal/piece", "huewright/internal/report/...", "huewright/internal/web",
	"huewright/internal/words", "codeberg.org/go-pdf/fpdf", "github.com/bep/imagemeta", "github.com/ncruces/go-sqlite3",
	"github.com/ncruces/go-sqlite3/driver", "github.com/ncruces/go-sqlite3/ext/...", "github.com/pelletier/go-toml/...", "archive/...",
	"crypto/...", "database/...", "encoding/...", "fmt", "html/...", "math/big", "mime/...", "net/...", "os", "regexp/...", "text/...",
	"time", "vendor/...",
}

// unchecked is SQLite, translated from C. Without Go's bounds checks, which it has nowhere else either, its largest functions are half as
// large: a browser optimises them in a fifth of the time, and until it has, what a photo needs waits behind them. What they could
// spoil is the memory of one page.
const unchecked = "github.com/ncruces/go-sqlite3-wasm/..."

// A Site says what was written.
type Site struct {
	Version string
	Program int // bytes of the program
	Visit   int // bytes that a first visit fetches, gzipped
	Least   int // bytes that it fetches where the browser unpacks Brotli itself; 0 without it
}

// Unreleased is the version of what is built for trying out. It is packed quickly; a release takes minutes and comes smaller too.
const Unreleased = "development"

// Build builds the program and writes the site into a folder that is not there yet. It needs Go, and to be called within the
// source tree.
func Build(ctx context.Context, folder, released string) (Site, error) {
	if _, err := os.Stat(folder); err == nil {
		return Site{}, fmt.Errorf("%s is there already: name a new folder", folder)
	}
	work, err := os.MkdirTemp("", "huewright-site")
	if err != nil {
		return Site{}, err
	}
	defer func() { _ = os.RemoveAll(work) }()
	out, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return Site{}, err
	}
	goroot := strings.TrimSpace(string(out))
	overlay, err := onlyNamedMethods(ctx, goroot, work)
	if err != nil {
		return Site{}, err
	}
	built := filepath.Join(work, "huewright.wasm")
	build := []string{"build", "-trimpath", "-tags", Tags, "-overlay", overlay, "-ldflags", "-s -w -X main.released=" + released}
	for _, p := range seldom {
		build = append(build, "-gcflags="+p+"=-l")
	}
	// The last that names a package holds.
	build = append(build, "-gcflags="+unchecked+"=-B", "-gcflags=encoding/binary=") // its few lines read the bits of a photo
	cmd := exec.CommandContext(ctx, "go", append(build, "-o", built, program)...)
	cmd.Env = inBrowser()
	if out, err := cmd.CombinedOutput(); err != nil {
		return Site{}, fmt.Errorf("go build: %w\n%s", err, out)
	}
	wasm, err := os.ReadFile(built)
	if err != nil {
		return Site{}, err
	}
	// The same version of Go brings what its programs need of a browser.
	support, err := os.ReadFile(filepath.Join(goroot, "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return Site{}, err
	}
	quality := brotli.BestCompression
	if released == Unreleased {
		quality = 0
	}
	return Write(folder, wasm, support, quality)
}

// inBrowser is the environment in which Go builds for a browser.
func inBrowser() []string { return append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0") }

// Write writes the site of a program into a folder. support is wasm_exec.js of the Go that built it. quality says how hard Brotli
// packs, from 1 to 11; at 0 there is gzip alone.
func Write(folder string, program, support []byte, quality int) (Site, error) {
	inside := map[string][]byte{"wasm_exec.js": support}
	outside := map[string][]byte{}
	entries, err := site.ReadDir("site")
	if err != nil {
		return Site{}, err
	}
	for _, e := range entries {
		data, err := site.ReadFile(path.Join("site", e.Name()))
		if err != nil {
			return Site{}, err
		}
		switch e.Name() {
		case "index.html", "sw.js", "manifest.webmanifest":
			outside[e.Name()] = data
		default:
			inside[e.Name()] = data
		}
	}
	for _, size := range []int{192, 512} {
		if outside[fmt.Sprintf("icon-%d.png", size)], err = icon(size); err != nil {
			return Site{}, err
		}
	}
	version := versionOf(inside, outside, map[string][]byte{"program": program})
	replace := func(name string, with ...string) {
		outside[name] = []byte(strings.NewReplacer(with...).Replace(string(outside[name])))
	}
	replace("index.html", "VERSION", version)

	list := fileList{Version: version}
	for name, data := range inside {
		list.Files = append(list.Files, file{Path: version + "/" + name, Size: len(data)})
	}
	for name, data := range outside {
		if name != "sw.js" {
			list.Files = append(list.Files, file{Path: name, Size: len(data)})
		}
	}
	// The program has its name where a browser keeps it, and comes by others, packed.
	packed, err := gzipped(program)
	if err != nil {
		return Site{}, err
	}
	inside["huewright.packed"] = packed
	whole := file{Path: version + "/huewright.wasm", Size: len(packed), Packed: version + "/huewright.packed"}
	if quality > 0 {
		smaller, err := brotlied(program, quality)
		if err != nil {
			return Site{}, err
		}
		inside["huewright.brotli"] = smaller
		whole.Brotli, whole.BrotliSize = version+"/huewright.brotli", len(smaller)
	}
	list.Files = append(list.Files, whole)
	slices.SortFunc(list.Files, func(a, b file) int { return strings.Compare(a.Path, b.Path) })
	var paths []string
	for _, f := range list.Files {
		list.Size += f.Size
		paths = append(paths, f.Path)
	}
	replace("sw.js", "VERSION", version, "LIST", asJSON(paths))
	outside["sw-"+version+".js"] = outside["sw.js"]
	delete(outside, "sw.js")
	outside["version.json"] = []byte(asJSON(map[string]string{"version": version}))
	inside["files.json"] = []byte(asJSON(list))
	s := Site{Version: version, Program: len(program), Visit: list.Size}
	if quality > 0 {
		s.Least = list.Size - whole.Size + whole.BrotliSize
	}
	return s, errors.Join(writeAll(filepath.Join(folder, version), inside), writeAll(folder, outside))
}

// A fileList is what a browser keeps of a version.
type fileList struct {
	Version string `json:"version"`
	Size    int    `json:"size"` // bytes of all, as they come gzipped
	Files   []file `json:"files"`
}

type file struct {
	Path       string `json:"path"`
	Size       int    `json:"size"`                 // bytes that come
	Packed     string `json:"packed,omitempty"`     // where it comes from, gzipped; "" where it comes from its path
	Brotli     string `json:"brotli,omitempty"`     // where it comes from as Brotli (RFC 7932), for browsers that unpack that
	BrotliSize int    `json:"brotliSize,omitempty"` // bytes that come then
}

// versionOf is the beginning of the hash of all files.
func versionOf(files ...map[string][]byte) string {
	hash := sha256.New()
	for _, some := range files {
		for _, name := range slices.Sorted(maps.Keys(some)) {
			_, _ = fmt.Fprintf(hash, "%s %d\n", name, len(some[name])) // a hash takes all
			_, _ = hash.Write(some[name])
		}
	}
	return hex.EncodeToString(hash.Sum(nil))[:12]
}

// gzipped packs as all browsers unpack, whatever the host does.
func gzipped(data []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	_, err = w.Write(data)
	err = errors.Join(err, w.Close())
	return out.Bytes(), err
}

// brotlied packs as some browsers unpack too, into less.
func brotlied(data []byte, quality int) ([]byte, error) {
	const widest = 24 // the widest window of RFC 7932: programs repeat themselves over megabytes
	var out bytes.Buffer
	w := brotli.NewWriterOptions(&out, brotli.WriterOptions{Quality: quality, LGWin: widest})
	_, err := w.Write(data)
	err = errors.Join(err, w.Close())
	return out.Bytes(), err
}

func asJSON(v any) string {
	data, err := json.Marshal(v)
	if err != nil {
		panic(err) // plain data
	}
	return string(data)
}

func writeAll(folder string, files map[string][]byte) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// icon draws the icon of the pages as PNG, of so many pixels a side: home screens take no SVG.
func icon(size int) ([]byte, error) {
	img := image.NewNRGBA(image.Rect(0, 0, size, size))
	const units = 32 // as in the icon of the pages
	for _, part := range []struct {
		x0, y0, x1, y1 int
		fill           color.NRGBA
	}{
		{0, 0, 32, 32, color.NRGBA{0x77, 0x77, 0x77, 255}},
		{4, 5, 13, 27, color.NRGBA{0xd6, 0xb8, 0x8f, 255}},
		{13, 5, 21, 27, color.NRGBA{0xa8, 0x73, 0x3f, 255}},
		{21, 5, 28, 27, color.NRGBA{0x7a, 0x4a, 0x30, 255}},
	} {
		at := image.Rect(part.x0*size/units, part.y0*size/units, part.x1*size/units, part.y1*size/units)
		draw.Draw(img, at, image.NewUniform(part.fill), image.Point{}, draw.Src)
	}
	var out bytes.Buffer
	err := png.Encode(&out, img)
	return out.Bytes(), err
}
