package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"huewright/internal/atomicfile"
	"huewright/internal/fault"
)

// A PhotoFacts is what is kept of a photo beside its bytes.
type PhotoFacts struct {
	SHA256  string // set by KeepPhoto
	Name    string // as its file was called; folders are left away
	Bytes   int64  // set by KeepPhoto
	TakenAt string // by the camera's clock; "" unknown
	Camera  string // "" unknown
}

// KeepPhoto keeps the bytes of a photo, once however often it comes, and returns their hash. The
// bytes are on the disk before anything names them.
func (w *Writer) KeepPhoto(data []byte, facts PhotoFacts) (string, error) {
	if len(data) == 0 {
		return "", fault.In(wrong("logbook.empty-photo"), fault.Place{File: facts.Name})
	}
	hash := HashOf(data)
	if err := w.log.store(hash, data); err != nil {
		return "", err
	}
	_, err := w.insert(
		"INSERT INTO photo (sha256, kept_at, name, bytes, taken_at, camera) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
		hash, stamped(w.now), filepath.Base(facts.Name), len(data), facts.TakenAt, facts.Camera)
	return hash, err
}

// Photo returns the bytes of a photo that is kept, and makes sure that they are those that were.
func (l *Log) Photo(hash string) ([]byte, error) {
	path, err := l.photoPath(hash)
	if err != nil {
		return nil, err
	}
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, faulty(l.path, "logbook.photo-gone", "photo", shortHash(hash), "folder", l.PhotoFolder())
	}
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	if HashOf(data) != hash {
		return nil, faulty(l.path, "logbook.photo-changed", "photo", shortHash(hash), "file", path)
	}
	return data, nil
}

// PhotoFolder is where the photos lie.
func (l *Log) PhotoFolder() string { return PhotosOf(l.path) }

// PhotosOf is where the photos of a log lie.
func PhotosOf(path string) string { return stem(path) + "-photos" }

// HashOf is the hash that a photo is called by. It is taken in parts: what a browser has compiled in haste, several times as slow, it
// replaces only when that is called anew.
func HashOf(data []byte) string {
	sum := sha256.New()
	for part := range slices.Chunk(data, 1<<16) {
		_, _ = sum.Write(part) // a hash takes all
	}
	return hex.EncodeToString(sum.Sum(nil))
}

func isHash(name string) bool {
	return len(name) == 2*sha256.Size && strings.Trim(name, "0123456789abcdef") == ""
}

func (l *Log) photoPath(hash string) (string, error) {
	if !isHash(hash) {
		return "", wrong("logbook.no-photo", "text", hash)
	}
	return filepath.Join(l.PhotoFolder(), hash[:2], hash), nil
}

// store puts bytes where they belong, whole or not at all. Where they lie already it leaves them; where what lies there is
// no longer what was kept, they take its place.
func (l *Log) store(hash string, data []byte) error {
	path, err := l.photoPath(hash)
	if err != nil {
		return err
	}
	if holds(path, data) {
		return nil
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, folderMode); err != nil {
		return err
	}
	if err := kept.WriteBytes(path, data); err != nil {
		return err
	}
	if err := syncFolder(folder); err != nil {
		return err
	}
	return syncFolder(l.PhotoFolder()) // the new folder's own name
}

// kept is how photos and drafts are written.
var kept = atomicfile.Options{Beside: halfWritten + "*", Mode: fileMode}

// shortHash is enough of a hash to tell photos apart.
func shortHash(hash string) string { return hash[:min(len(hash), 12)] + "…" }

// isWhole reports whether a file is there and has the bytes of a hash.
func isWhole(path, hash string) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	defer func() { _ = file.Close() }()
	sum := sha256.New()
	_, err = io.Copy(sum, file)
	return err == nil && hex.EncodeToString(sum.Sum(nil)) == hash
}

// holds reports whether a file is there and has just these bytes: for less than to hash them.
func holds(path string, data []byte) bool {
	file, err := os.Open(path)
	if err != nil {
		return false
	}
	defer func() { _ = file.Close() }()
	if at, err := file.Stat(); err != nil || at.Size() != int64(len(data)) {
		return false
	}
	room := make([]byte, 1<<16)
	for part := range slices.Chunk(data, len(room)) {
		if n, err := io.ReadFull(file, room[:len(part)]); err != nil || !bytes.Equal(room[:n], part) {
			return false
		}
	}
	return true
}

// syncFolder makes sure that the names in a folder are on the disk. Not every system can.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() { _ = folder.Close() }()
	if err := folder.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, fs.ErrInvalid) &&
		!errors.Is(err, fs.ErrPermission) {
		return err
	}
	return nil
}
