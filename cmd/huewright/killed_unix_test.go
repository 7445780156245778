//go:build unix

package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
	"huewright/internal/logbook"
)

// A killing is a log whose commands are killed, and what they said is kept.
type killing struct {
	t       *testing.T
	rng     *rand.Rand
	folder  string
	log     string
	kept    map[string]bool            // notes that the log was told to have, since it was last brought back
	ever    map[string]bool            // notes that were ever told to be kept
	backups map[string]map[string]bool // notes that each backup had, at the least, when it was told to be whole
	took    map[string]time.Duration   // of each command when nobody kills it
	killed  int
	said    int
	n       int
}

// start starts the program and kills it at a moment of chance, or lets it end. It reports whether it said that it was done.
func (k *killing) start(kill bool, args ...string) bool {
	self, err := os.Executable()
	require.NoError(k.t, err)
	cmd := exec.Command(self, append(args, "--log", k.log)...)
	cmd.Env = append(os.Environ(), childVariable+"=1")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	began := time.Now()
	require.NoError(k.t, cmd.Start())
	if kill {
		after := time.Duration(k.rng.Float64() * 1.1 * float64(k.took[args[1]]))
		timer := time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		defer timer.Stop()
	}
	err = cmd.Wait()
	if !kill {
		require.NoError(k.t, err, "%v: %s", args, errs.String())
		k.took[args[1]] = time.Since(began)
	}
	if cmd.ProcessState.ExitCode() == -1 {
		k.killed++
	} else {
		require.Zero(k.t, cmd.ProcessState.ExitCode(), "%v: %s", args, errs.String())
	}
	done := strings.HasSuffix(out.String(), "\n")
	if done {
		k.said++
	}
	return done
}

// notes are those of a log, which must be whole.
func (k *killing) notes(path string) map[string]bool {
	l, err := logbook.Open(context.Background(), path, logbook.Options{Make: true})
	require.NoError(k.t, err, path)
	defer func() { require.NoError(k.t, l.Close()) }()
	faults, err := l.Verify(context.Background())
	require.NoError(k.t, err, path)
	require.Empty(k.t, faults, path)
	all := map[string]bool{}
	found, err := l.Find(context.Background(), logbook.Query{Limit: 100_000})
	require.NoError(k.t, err)
	for _, e := range found {
		if e.Note != "" {
			all[e.Note] = true
		}
	}
	return all
}

func has(all, some map[string]bool) bool {
	for note := range some {
		if !all[note] {
			return false
		}
	}
	return true
}

// note is a text that tells an entry from all others.
func (k *killing) note() string {
	k.n++
	return fmt.Sprintf("number %d", k.n)
}

// photo is a new photo, small and unlike all others.
func (k *killing) photo() string {
	img := image.NewNRGBA(image.Rect(0, 0, 60, 60))
	for i := range img.Pix {
		img.Pix[i] = uint8(k.rng.IntN(256)) | 3
	}
	img.Set(0, 0, color.NRGBA{R: uint8(k.n), G: uint8(k.n >> 8), A: 255})
	path := filepath.Join(k.folder, "photo.png")
	var out bytes.Buffer
	require.NoError(k.t, png.Encode(&out, img))
	require.NoError(k.t, os.WriteFile(path, out.Bytes(), 0o600))
	return path
}

// write runs a command that writes an entry with a note.
func (k *killing) write(kill bool, args func(note string) []string) {
	note := k.note()
	if k.start(kill, args(note)...) {
		k.kept[note], k.ever[note] = true, true
	}
}

var killedWrites = []func(k *killing, note string) []string{
	func(k *killing, note string) []string { return []string{"log", "note", "cabinet", note} },
	func(k *killing, note string) []string {
		return []string{"log", "photo", "cabinet", k.photo(), "--note", note}
	},
	func(k *killing, note string) []string {
		return []string{"log", "coat", "cabinet", "frame", "--coating", "brown wash", "--thinner", "4", "--note", note}
	},
}

// backup backs the log up, to a new file or over an earlier one.
func (k *killing) backup(kill bool) {
	name := filepath.Join(k.folder, fmt.Sprintf("backup-%d.db", k.rng.IntN(4)))
	had := maps.Clone(k.kept)
	done := k.start(kill, "log", "backup", name, "--overwrite")
	if done {
		k.backups[name] = had
	}
}

// restore brings a backup back over the log. Killed, it may have done so or not.
func (k *killing) restore(kill bool) {
	if len(k.backups) == 0 {
		k.backup(false)
	}
	names := slices.Sorted(maps.Keys(k.backups))
	name := names[k.rng.IntN(len(names))]
	has := k.notes(name)
	if k.start(kill, "log", "restore", name, "--overwrite") {
		k.kept = has
	}
}

// check makes sure that nothing that was told to be kept is lost, and that every backup that has a name is whole.
func (k *killing) check() {
	now := k.notes(k.log)
	if !has(now, k.kept) {
		// A restoring that was killed after all was done, before it could say so: it is one of the backups.
		back := false
		for name := range k.backups {
			back = back || maps.Equal(now, k.notes(name))
		}
		require.True(k.t, back, "the log lacks what it was told to have")
		k.kept = now
	}
	lost := maps.Clone(k.ever)
	maps.DeleteFunc(lost, func(note string, _ bool) bool { return now[note] })
	asides, err := filepath.Glob(filepath.Join(filepath.Dir(k.log), "log-before-*", "log.db"))
	require.NoError(k.t, err)
	for _, aside := range asides {
		there := k.notes(aside)
		maps.DeleteFunc(lost, func(note string, _ bool) bool { return there[note] })
	}
	require.Empty(k.t, lost, "neither in the log nor in one that was set aside")
	named, err := filepath.Glob(filepath.Join(k.folder, "backup-*.db"))
	require.NoError(k.t, err)
	for _, name := range named {
		require.True(k.t, has(k.notes(name), k.backups[name]), name)
	}
}

// TestKilledCommands kills commands of the log at moments of chance, backups and their bringing back among them: nothing
// that a command said to be kept is lost, and every backup that has a name is whole. On Windows a killed process ends with code
// 1, as one that failed, so it cannot be told there.
func TestKilledCommands(t *testing.T) {
	folder := t.TempDir()
	k := &killing{
		t: t, rng: rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1)), folder: folder, log: filepath.Join(folder, "here", "log.db"),
		kept: map[string]bool{}, ever: map[string]bool{}, backups: map[string]map[string]bool{}, took: map[string]time.Duration{},
	}
	k.start(false, "log", "begin", "cabinet")
	for _, args := range killedWrites {
		k.write(false, func(note string) []string { return args(k, note) })
	}
	k.backup(false)
	k.restore(false)
	k.check()
	kills := figure.Draws(20, 300)
	for k.killed < kills {
		switch k.rng.IntN(6) {
		case 0:
			k.backup(true)
		case 1:
			k.restore(true)
		default:
			args := killedWrites[k.rng.IntN(len(killedWrites))]
			k.write(true, func(note string) []string { return args(k, note) })
		}
		k.check()
	}
	figure.Report(t, "killed commands", "none in %d kills, of %d that had been said to be kept", k.killed, len(k.ever))
	require.NotEmpty(t, k.ever)
}
