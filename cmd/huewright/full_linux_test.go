package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTheDiskIsFull writes everything that is written to a file system of 64 kB: each is refused with a
// reason, and nothing half written is left. Only Linux makes such a one in memory by one command.
func TestTheDiskIsFull(t *testing.T) {
	folder := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", folder).CombinedOutput(); err != nil {
		t.Skipf("making a small file system needs the rights of the administrator: %s", out)
	}
	defer func() { _ = exec.Command("umount", folder).Run() }()
	at := func(name string) string { return filepath.Join(folder, name) }
	piece := filepath.Join(tried(), demoPiece)
	log := filepath.Join(t.TempDir(), "log.db")
	code, _, stderr := huewright("plan", piece, "--piece", "cabinet", "--log", log)
	require.Zero(t, code, stderr)
	require.NoError(t, os.WriteFile(at("filler"), make([]byte, 50_000), 0o644))
	for _, args := range [][]string{
		{"measure", front(), "--area", area("frame"), "--overlay", at("seen.png")},
		{"card", piece, "--out", at("card.pdf")},
		{"card", piece, "--out", at("card.html")},
		{"preview", piece, "--out", at("pictures")},
		{"demo", "--out", at("try")},
		{"log", "backup", at("copy.db"), "--log", log},
		{"log", "export", at("all.jsonl"), "--log", log},
	} {
		code, _, stderr := huewright(args...)
		require.NotZero(t, code, "%v", args)
		require.Contains(t, strings.ToLower(stderr), "the disk is full", "%v", args)
		require.Contains(t, stderr, "hint: ", "%v", args)
		var left []string
		require.NoError(t, filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
			if err == nil && !d.IsDir() && d.Name() != "filler" {
				left = append(left, path)
			}
			return err
		}))
		require.Empty(t, left, "%v: %s", args, stderr)
		t.Logf("%v: code %d: %s", args[0], code, stderr)
	}
}
