package logbook

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"huewright/internal/atomicfile"
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
		return "", wrong("take it again, or copy it again from the camera", "%s: the file is empty", facts.Name)
	}
	sum := sha256.Sum256(data)
	hash := hex.EncodeToString(sum[:])
	if err := w.log.store(hash, data); err != nil {
		return "", err
	}
	_, err := w.insert("INSERT INTO photo (sha256, kept_at, name, bytes, taken_at, camera) VALUES (?, ?, ?, ?, ?, ?) ON CONFLICT DO NOTHING",
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
		return nil, &Fault{Kind: Damaged, Path: l.path, Problem: fmt.Sprintf("the photo %.12s… is gone from the folder beside "+
			"the log", hash), Advice: "put the folder back from a backup: " + l.PhotoFolder()}
	}
	if err != nil {
		return nil, faultOf(l.path, err)
	}
	if sum := sha256.Sum256(data); hex.EncodeToString(sum[:]) != hash {
		return nil, &Fault{Kind: Damaged, Path: l.path, Problem: fmt.Sprintf("the photo %.12s… is no longer what was kept", hash),
			Advice: "put " + path + " back from a backup"}
	}
	return data, nil
}

// PhotoFolder is where the photos lie.
func (l *Log) PhotoFolder() string { return PhotosOf(l.path) }

// PhotosOf is where the photos of a log lie.
func PhotosOf(path string) string { return strings.TrimSuffix(path, filepath.Ext(path)) + "-photos" }

func (l *Log) photoPath(hash string) (string, error) {
	if len(hash) != 2*sha256.Size || strings.Trim(hash, "0123456789abcdef") != "" {
		return "", wrong("see huewright log show for the photos of a piece", "%q names no photo", hash)
	}
	return filepath.Join(l.PhotoFolder(), hash[:2], hash), nil
}

// store puts bytes where they belong, whole or not at all.
func (l *Log) store(hash string, data []byte) error {
	path, err := l.photoPath(hash)
	if err != nil {
		return err
	}
	if info, err := os.Stat(path); err == nil && info.Size() == int64(len(data)) {
		return nil
	}
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	if err := photoFile.WriteBytes(path, data); err != nil {
		return err
	}
	if err := syncFolder(folder); err != nil {
		return err
	}
	return syncFolder(l.PhotoFolder()) // the new folder's own name
}

// photoFile is how a photo is written: for its owner alone.
var photoFile = atomicfile.Options{Beside: halfWritten + "*", Mode: 0o600}

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

// copyFile copies a file, whole or not at all.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	return photoFile.Write(to, func(w io.Writer) error {
		_, err := io.Copy(w, in)
		return err
	})
}
