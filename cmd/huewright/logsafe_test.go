package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/logbook"
)

// The whole circle on the command line: a backup is made, the log is damaged, what is advised brings it back, and nothing
// is deleted. What is missing or refused is told with an exit code of its own.
func TestTheLogComesBack(t *testing.T) {
	folder := t.TempDir()
	log, copied := filepath.Join(folder, "here", "log.db"), filepath.Join(folder, "copy.db")
	t.Setenv("HUEWRIGHT_LOG", log)
	done(t, "log", "begin", "cabinet")
	done(t, "log", "photo", "cabinet", front(), "--note", "before anything was done")
	done(t, "log", "coat", "cabinet", "frame", "--coating", "brown wash")
	requireSays(t, done(t, "log", "backup", copied), "logcmd.backed-up", "file", copied, "photos", 1, "steps", 0)
	code, _, stderr := huewright("log", "backup", copied)
	require.Equal(t, exitWrongUse, code)
	requireSays(t, stderr, "logbook.backup-taken", "file", copied)
	done(t, "log", "backup", copied, "--overwrite")
	code, _, stderr = huewright("log", "restore", copied)
	require.Equal(t, exitWrongUse, code)
	requireSays(t, stderr, "logbook.restore-taken", "file", log)

	// A name that is nearly the frame's.
	code, _, stderr = huewright("log", "coat", "cabinet", "fraem", "--coating", "brown wash")
	require.Equal(t, exitWrongUse, code)
	requireSays(t, stderr, "logbook.near-area", "area", "fraem", "near", "frame")
	done(t, "log", "coat", "cabinet", "fraem", "--coating", "brown wash", "--new-area")

	// An undo, and its undo.
	done(t, "log", "undo", "2")
	require.NotContains(t, done(t, "log", "label", "cabinet", "fraem"), "frame")
	said := done(t, "log", "undo", "4")
	requireSays(t, said, "logcmd.back", "number", 5, "undone", 4, "back", 2)
	require.Contains(t, done(t, "log", "label", "cabinet", "frame"), "brown wash")

	// A photo goes bad: the backup goes on without it.
	photos, err := filepath.Glob(filepath.Join(logbook.PhotosOf(log), "*", "*"))
	require.NoError(t, err)
	require.Len(t, photos, 1)
	good, err := os.ReadFile(photos[0])
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(photos[0], append(bytes.Clone(good[:len(good)-1]), 0), 0o600))
	code, stdout, stderr := huewright("log", "backup", filepath.Join(folder, "other.db"))
	require.Equal(t, exitPartly, code)
	require.Contains(t, stdout, "damaged")
	requireSays(t, stderr, "logbook.incomplete", "n", 1)
	code, stdout, stderr = huewright("log", "check")
	require.Equal(t, exitLog, code)
	requireSays(t, stderr, "logbook.not-whole", "n", 1)
	require.NotContains(t, stdout+stderr, "--tidy", "nothing is to be cleared away of a damaged log")
	done(t, "log", "photo", "cabinet", front())
	requireSays(t, done(t, "log", "check"), "logcmd.whole")

	// The file is torn: the backup comes back, and the torn log is set aside.
	torn := bytes.Repeat([]byte{0xa5}, 50_000)
	require.NoError(t, os.WriteFile(log, torn, 0o600))
	code, _, stderr = huewright("log", "show", "cabinet")
	require.Equal(t, exitLog, code)
	require.Contains(t, stderr, "log restore BACKUP --overwrite")
	done(t, "log", "restore", copied, "--overwrite")
	requireSays(t, done(t, "log", "check"), "logcmd.whole")
	require.Contains(t, done(t, "log", "label", "cabinet", "frame"), "brown wash")
	aside, err := filepath.Glob(filepath.Join(folder, "here", "log-before-*", "log.db"))
	require.NoError(t, err)
	require.Len(t, aside, 1)
	kept, err := os.ReadFile(aside[0])
	require.NoError(t, err)
	require.Equal(t, torn, kept)

	// A line that makes no sense refuses itself, or all.
	export := filepath.Join(folder, "log.jsonl")
	done(t, "log", "export", export)
	text, err := os.ReadFile(export)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(export, []byte(strings.Replace(string(text), `"coats":1,`, `"coats":1e300,`, 1)), 0o600))
	other := filepath.Join(folder, "other", "log.db")
	code, _, stderr = huewright("log", "import", export, "--strict", "--log", other)
	require.Equal(t, exitWrongUse, code)
	for _, foreign := range []string{"invalid", "CHECK", "constraint", "SQL", "json"} {
		require.NotContains(t, strings.ReplaceAll(stderr, export, ""), foreign)
	}
	code, stdout, _ = huewright("log", "import", export, "--log", other)
	require.Equal(t, exitPartly, code)
	require.Contains(t, stdout, "1e300")
	require.Contains(t, done(t, "log", "find", "before anything", "--log", other), "cabinet")
}
