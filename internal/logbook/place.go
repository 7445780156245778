package logbook

import (
	"os"
	"path/filepath"
	"runtime"
)

// placeVariable is the environment variable that says where the log is.
const placeVariable = "HUEWRIGHT_LOG"

// FileName is what the log's file is called where nothing else is said.
const FileName = "log.db"

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
	return filepath.Join(folder, "huewright", FileName), nil
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
		return "", &Fault{Kind: noPlace, Problem: "there is no folder to keep the log in", Advice: "say where: --log FILE, or set " + placeVariable}
	}
	return filepath.Join(home, ".huewright"), nil
}
