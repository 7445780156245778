//go:build ignore

// Command zip packs a folder: go run .ci/zip.go FOLDER FILE. Names are in order and times are one, so that the same files
// give the same bytes.
package main

import (
	"archive/zip"
	"compress/flate"
	"errors"
	"io"
	"io/fs"
	"log"
	"os"
	"path/filepath"
	"time"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 3 {
		log.Fatal("go run .ci/zip.go FOLDER FILE")
	}
	if err := pack(filepath.Clean(os.Args[1]), os.Args[2]); err != nil {
		log.Fatal(err)
	}
}

func pack(folder, file string) (err error) {
	out, err := os.Create(file)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	z := zip.NewWriter(out)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, flate.BestCompression) })
	err = filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error { // in the order of names
		if err != nil || d.IsDir() {
			return err
		}
		name, err := filepath.Rel(filepath.Dir(folder), path)
		if err != nil {
			return err
		}
		w, err := z.CreateHeader(&zip.FileHeader{
			Name: filepath.ToSlash(name), Method: zip.Deflate, Modified: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC),
		})
		if err != nil {
			return err
		}
		in, err := os.Open(path)
		if err != nil {
			return err
		}
		_, err = io.Copy(w, in)
		return errors.Join(err, in.Close())
	})
	return errors.Join(err, z.Close())
}
