package logbook

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// fixture writes testdata/version-N.db anew, for the latest version N. It is done once, when a version is
// released, and never again: the file stands for logs that people have.
var fixture = flag.Bool("fixture", false, "write the fixture of the latest version")

func fixtureOf(version int) string {
	return filepath.Join("testdata", fmt.Sprintf("version-%d.db", version))
}

func TestWriteFixture(t *testing.T) {
	if !*fixture {
		t.Skip("only with -fixture")
	}
	path := fixtureOf(len(steps))
	_, err := os.Stat(path)
	require.ErrorIs(t, err, os.ErrNotExist, "a fixture is written once")
	l := newLog(t)
	fill(t, l)
	backup(t, l, path)
	require.NoError(t, os.RemoveAll(PhotosOf(path)))
}

// TestLogsOfEveryVersionAreBroughtUpToDate opens a log of every version there has been, and finds in it
// what was written then.
func TestLogsOfEveryVersionAreBroughtUpToDate(t *testing.T) {
	for version := 1; version <= len(steps); version++ {
		data, err := os.ReadFile(fixtureOf(version))
		require.NoError(t, err, "every version has a fixture: go test ./internal/logbook -run WriteFixture -fixture")
		path := filepath.Join(t.TempDir(), fileName)
		require.NoError(t, os.WriteFile(path, data, 0o644))
		l, err := Open(context.Background(), path, Options{})
		require.NoError(t, err)
		all, err := l.Timeline(context.Background(), "music cabinet")
		require.NoError(t, err)
		require.Len(t, all, 14)
		require.Equal(t, "thin as milk", all[9].Note)
		outcomes, err := l.Outcomes(context.Background())
		require.NoError(t, err)
		require.Len(t, outcomes, 1)
		require.NoError(t, l.Close())
	}
}

// TestAVersionToCome brings a log to a version that is not yet, and to one that fails half way: the log
// then is as it was.
func TestAVersionToCome(t *testing.T) {
	l := newLog(t)
	fill(t, l)
	require.NoError(t, l.Close())
	broken := append(append([]step{}, steps...), step{"CREATE TABLE half (id INTEGER) STRICT; CREATE TABLE half (id INTEGER) STRICT"})
	_, err := Open(context.Background(), l.Path(), Options{steps: broken})
	require.Error(t, err)
	next := append(append([]step{}, steps...), step{"CREATE TABLE whole (id INTEGER) STRICT"})
	after, err := Open(context.Background(), l.Path(), Options{ReadOnly: true, steps: next})
	require.NoError(t, err)
	var version, tables int
	require.NoError(t, after.db.QueryRow("SELECT (SELECT user_version FROM pragma_user_version), (SELECT count(*) FROM "+
		"sqlite_schema WHERE name IN ('half', 'whole'))").Scan(&version, &tables))
	require.Equal(t, len(steps)+1, version)
	require.Equal(t, 1, tables)
	all, err := after.Timeline(context.Background(), "music cabinet")
	require.NoError(t, err)
	require.Len(t, all, 14)
	require.NoError(t, after.Close())
	copied, err := Open(context.Background(), fmt.Sprintf("%s.version-%d", l.Path(), len(steps)), Options{})
	require.NoError(t, err, "the log as it was lies beside it")
	require.NoError(t, copied.Close())
}
