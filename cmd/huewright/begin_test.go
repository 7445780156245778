package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"huewright/internal/bench"
)

// A piece file that is begun by measuring says what is missing, and is planned once that is filled in.
func TestMeasureBeginsAPieceFile(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "jobs")
	require.NoError(t, os.Mkdir(folder, 0o755))
	file := filepath.Join(folder, "cabinet.toml")
	args := []string{"measure", front(), "--area", area(bench.Frame), "--area", area(bench.Panel), "--write", file}
	require.Contains(t, done(t, args...), "cabinet.toml")
	code, _, stderr := huewright("plan", file)
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "no coatings")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	_, coating, found := strings.Cut(string(text), "# [[coating]]")
	require.True(t, found)
	filled := string(text) + "\n[[coating]]" + strings.ReplaceAll(coating, "\n# ", "\n")
	require.NoError(t, os.WriteFile(file, []byte(filled), 0o644))
	require.Contains(t, done(t, "plan", file), "brown wash")

	code, stdout, stderr := huewright(args...)
	require.Equal(t, exitWrongUse, code)
	require.Empty(t, stdout)
	require.Contains(t, stderr, "--overwrite")
	still, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, filled, string(still))
	done(t, append(args, "--overwrite")...)
	over, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, text, over)
}

// A photo that cannot be read is left out of what is begun, and photos are named from the folder of the piece file.
func TestSeveralBeginAPieceFile(t *testing.T) {
	work := t.TempDir()
	t.Chdir(work)
	require.NoError(t, os.Mkdir("jobs", 0o755))
	photo, err := os.ReadFile(front())
	require.NoError(t, err)
	require.NoError(t, os.WriteFile("front.jpg", photo, 0o644))
	require.NoError(t, os.WriteFile("side.jpg", photo[:2000], 0o644))
	code, _, _ := huewright("measure", "front.jpg", "side.jpg", "--area", area(bench.Frame), "--write", "jobs/cabinet.toml")
	require.Equal(t, exitPhoto, code)
	text, err := os.ReadFile("jobs/cabinet.toml")
	require.NoError(t, err)
	require.Contains(t, string(text), "photo = \"../front.jpg\"\n")
	require.NotContains(t, string(text), "side")
}

// What flags say is kept by plan, and planned alike from the file.
func TestPlanKeepsItsFlags(t *testing.T) {
	file := filepath.Join(t.TempDir(), "front.toml")
	args := []string{"plan", front(), "--area", area(bench.Frame), "--area", area(bench.Panel), "--chip", "#7a5a40", "--thinned", "1:4"}
	byFlags := done(t, append(args, "--json", "--write", file)...)
	require.JSONEq(t, byFlags, done(t, "plan", file, "--json"))
	code, _, stderr := huewright("plan", file, "--write", file+".toml")
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, "--write")
	code, _, stderr = huewright(append(args, "--write", "front.txt")...)
	require.Equal(t, exitWrongUse, code)
	require.Contains(t, stderr, ".toml")
}
