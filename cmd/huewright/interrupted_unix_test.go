//go:build unix

package main

import (
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
)

// One program can interrupt another on Unix, not on Windows.

// TestInterruptedAnywhere runs the built program and interrupts it after a time of chance: it is gone
// within two seconds, and what it was writing is whole or not there.
func TestInterruptedAnywhere(t *testing.T) {
	dir := t.TempDir()
	program := filepath.Join(dir, "huewright")
	built, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput()
	require.NoError(t, err, string(built))
	try := filepath.Join(dir, "try")
	require.NoError(t, exec.Command(program, "demo", "--out", try).Run())
	commands := [][]string{
		{"measure", "front.jpg", "--area", area("frame"), "--overlay", "seen.png"},
		{"card", "cabinet.toml", "--out", "card.pdf"},
		{"preview", "cabinet.toml", "--out", "pictures"},
		{"plan", "cabinet.toml", "--piece", "cabinet"},
		{"log", "backup", "copy.db"},
		{"serve", "--no-open"},
		{"demo", "--out", "again"},
	}
	rng := rand.New(rand.NewPCG(1, 130))
	ended := map[int]int{}
	runs := figure.Draws(7, 42)
	longest := time.Duration(0)
	for i := range runs {
		args := commands[i%len(commands)]
		work := filepath.Join(dir, "work")
		require.NoError(t, os.RemoveAll(work))
		require.NoError(t, os.CopyFS(work, os.DirFS(try)))
		cmd := exec.Command(program, args...)
		cmd.Dir = work
		cmd.Env = append(os.Environ(), "HUEWRIGHT_LOG="+filepath.Join(dir, "log.db"))
		require.NoError(t, cmd.Start())
		time.Sleep(time.Duration(20+rng.IntN(500)) * time.Millisecond)
		told := time.Now()
		_ = cmd.Process.Signal(syscall.SIGINT)
		err := cmd.Wait()
		took := time.Since(told)
		longest = max(longest, took)
		require.Less(t, took, 2*time.Second, "%v", args)
		code := cmd.ProcessState.ExitCode()
		ended[code]++
		// -1: before the program had begun to listen
		require.Contains(t, []int{exitDone, exitEnded, exitLog, exitWrongUse, -1}, code, "%v: %v", args, err)
		require.NoError(t, filepath.WalkDir(work, func(path string, d fs.DirEntry, err error) error {
			require.NoError(t, err)
			require.False(t, strings.HasPrefix(d.Name(), "."), "%v left %s", args, path)
			require.False(t, strings.HasPrefix(d.Name(), "incoming-"), "%v left %s", args, path)
			if data, err := os.ReadFile(path); err == nil && filepath.Ext(path) == ".pdf" {
				require.Contains(t, string(data), "%%EOF")
			}
			return nil
		}))
	}
	t.Logf("ended by code: %v; the slowest %.2f s after it was told", ended, longest.Seconds())
	figure.Report(t, "interrupted/gone in time", "all %d", runs)
	out, err := exec.Command(program, "log", "check", "--log", filepath.Join(dir, "log.db")).CombinedOutput()
	require.NoError(t, err, string(out))
}
