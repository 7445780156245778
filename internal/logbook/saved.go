package logbook

import (
	"errors"
	"io/fs"
	"os"
	"strings"
	"time"
)

// savedOf is where it stands when a log was last saved elsewhere.
func savedOf(path string) string { return stem(path) + "-saved" }

// MarkSaved notes that the log has been saved elsewhere, whole.
func (l *Log) MarkSaved() error {
	return faultOf(l.path, kept.WriteBytes(savedOf(l.path), []byte(stamped(l.opt.Now())+"\n")))
}

// Saved is when the log was last saved elsewhere; zero for never, and where what stands there is no time.
func (l *Log) Saved() (time.Time, error) {
	data, err := os.ReadFile(savedOf(l.path))
	if errors.Is(err, fs.ErrNotExist) {
		return time.Time{}, nil
	}
	return parsed(strings.TrimSpace(string(data))), faultOf(l.path, err)
}
