package logbook

import (
	"database/sql"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"huewright/internal/fault"
)

// A Log is an open log. It may be used from several goroutines, and by several programs at once.
type Log struct {
	path string // of the file itself, not of a link to it
	db   *sql.DB
	opt  Options
}

// Options changes how a log is opened.
type Options struct {
	// Make makes the log where there is none yet.
	Make bool
	// ReadOnly opens it for looking only, even where nothing may be written.
	ReadOnly bool
	// Now is the clock; nil is the machine's.
	Now func() time.Time
	// Waiting is called once, when another program is writing and this one waits; nil is not called.
	Waiting func()
	// Patience is how long to wait then; 0 means 30 s.
	Patience time.Duration

	steps []step // that bring an older log up to date; nil means all there are
	asIs  bool   // an older log is read as it is, for copying it
}

// A step brings a log from one version to the next.
type step struct{ statements string }

// Close lets go of the log.
func (l *Log) Close() error { return faultOf(l.path, l.db.Close()) }

// Path is the log's file.
func (l *Log) Path() string { return l.path }

// placeVariable is the environment variable that says where the log is.
const placeVariable = "HUEWRIGHT_LOG"

// fileName is what the log's file is called where nothing else is said.
const fileName = "log.db"

// Place is where the log is: given, where that is not empty; else what HUEWRIGHT_LOG says; else in
// the folder that the platform has for the data of programs.
//
// Source: XDG Base Directory Specification 0.8 for Linux and its like; common practice for macOS
// and Windows.
func Place(given string, env func(string) string) (string, error) {
	if given != "" {
		return given, nil
	}
	if said := env(placeVariable); said != "" {
		return said, nil
	}
	folder, err := dataFolder(runtime.GOOS, env)
	if err != nil {
		return "", err
	}
	return filepath.Join(folder, "huewright", fileName), nil
}

func dataFolder(system string, env func(string) string) (string, error) {
	switch system {
	case "windows":
		if folder := env("LocalAppData"); folder != "" {
			return folder, nil
		}
	case "darwin", "ios":
		if home := env("HOME"); home != "" {
			return filepath.Join(home, "Library", "Application Support"), nil
		}
	default:
		if folder := env("XDG_DATA_HOME"); filepath.IsAbs(folder) {
			return folder, nil
		}
		if home := env("HOME"); home != "" {
			return filepath.Join(home, ".local", "share"), nil
		}
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fault.New(fault.Log, "logbook.no-place", "variable", placeVariable).Because(err)
	}
	return filepath.Join(home, ".huewright"), nil
}

// applicationID tells a log from other databases: "hwlb".
const applicationID = 0x68776c62

// halfWritten is how files begin that are not whole yet.
const halfWritten = "incoming-"

// What is kept is for its owner alone.
const (
	fileMode   = 0o600
	folderMode = 0o700
)
