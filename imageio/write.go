package imageio

import (
	"bufio"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path/filepath"
)

// WritePNG writes a picture to a file, whole or not at all: readers see the old file or the
// new one. Codes are meant as sRGB. Errors are those of the file system.
func WritePNG(path string, img image.Image) error {
	return writeWhole(path, func(w io.Writer) error { return png.Encode(w, img) })
}

// WriteJPEG is WritePNG for JPEG of quality 1–100; 0 is 90.
func WriteJPEG(path string, img image.Image, quality int) error {
	if quality == 0 {
		quality = 90
	}
	return writeWhole(path, func(w io.Writer) error { return jpeg.Encode(w, img, &jpeg.Options{Quality: quality}) })
}

// writeWhole writes beside the target, in the same folder so that renaming is one step of the
// file system, and renames.
func writeWhole(path string, encode func(io.Writer) error) (err error) {
	file, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			file.Close()
			os.Remove(file.Name())
			err = fmt.Errorf("write %s: %w", path, err)
		}
	}()
	buffered := bufio.NewWriter(file)
	if err := encode(buffered); err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return err
	}
	if err := file.Chmod(0o644); err != nil {
		return err
	}
	if err := file.Sync(); err != nil {
		return err
	}
	if err := file.Close(); err != nil {
		return err
	}
	return os.Rename(file.Name(), path)
}

// WriteFile is WritePNG for bytes that are encoded already.
func WriteFile(path string, data []byte) error {
	return writeWhole(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}
