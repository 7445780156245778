package logbook

import (
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// mostLinks is how many symbolic links are followed one after the other, as most systems have it (common practice, no source).
const mostLinks = 40

// resolve is the file that a path leads to, through symbolic links, whether it is there yet or not: a log is one log
// by whatever name it is opened, and its photos lie beside the file itself.
func resolve(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	for range mostLinks {
		info, err := os.Lstat(path)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			break
		}
		to, err := os.Readlink(path)
		if err != nil {
			return "", err
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(path), to)
		}
		path = to
	}
	folder, err := filepath.EvalSymlinks(filepath.Dir(path))
	if errors.Is(err, fs.ErrNotExist) {
		return path, nil
	}
	return filepath.Join(folder, filepath.Base(path)), err
}

// Itself is the file that a path leads to, through symbolic links.
func Itself(path string) (string, error) {
	itself, err := resolve(path)
	return itself, faultOf(path, err)
}

// addressOf is a file as the database is asked to open it, on a system (as runtime.GOOS has it).
//
// Source: SQLite, Uniform Resource Identifiers, section 3.
func addressOf(system, path, query string) string {
	if system == "windows" {
		path = strings.ReplaceAll(path, `\`, "/")
		if len(path) > 1 && path[1] == ':' {
			path = "/" + path
		}
	}
	return (&url.URL{Scheme: "file", Path: path, RawQuery: query}).String()
}

// adopt brings what lies beside a link to a log to the log itself: there it was kept when a log was opened through a
// link and taken for another one. What the log has stays as it is.
func (l *Log) adopt(link string) error {
	for _, folders := range [][2]string{{PhotosOf(link), l.PhotoFolder()}, {DraftsOf(link), l.DraftFolder()}} {
		from, to := folders[0], folders[1]
		if from == to || sameFile(from, to) {
			continue
		}
		if err := eachFile(from, to, move); err != nil {
			return err
		}
	}
	return nil
}

// eachFile calls do with each file in a folder and below, and with its place in another folder. A folder that is not there
// has none; a file that is taken away meanwhile is passed over.
func eachFile(from, to string, do func(from, to string) error) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			var inside string
			if inside, err = filepath.Rel(from, path); err == nil {
				err = do(path, filepath.Join(to, inside))
			}
		}
		if _, gone := os.Lstat(path); errors.Is(err, fs.ErrNotExist) && errors.Is(gone, fs.ErrNotExist) {
			return nil
		}
		return err
	})
}

// move moves a file to where none is; where one is, both stay.
func move(from, to string) error {
	if _, err := os.Lstat(to); err == nil {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
		return err
	}
	if os.Rename(from, to) == nil {
		return nil
	}
	if err := copyFile(from, to); err != nil { // another file system
		return err
	}
	return os.Remove(from)
}

// sameFile reports whether two paths lead to one file or folder that is there.
func sameFile(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}
