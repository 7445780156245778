package logbook

import (
	"archive/zip"
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"huewright/internal/fault"
)

// A bundle is a backup as one file: a zip archive of a folder with the log, its photos and its drafts, as Backup makes them. Unpacked, it
// is a log like any other. Its list of contents comes last, so that one that was cut short is none.

const (
	// bundleLog is what the log is called in a bundle.
	bundleLog = fileName
	// bundleLacks names what the log itself has lost.
	bundleLacks = "what-is-missing.txt"
	// mostBundled is how large the log of a bundle and its drafts may be once unpacked, in bytes: some ten million readings.
	mostBundled = 2 << 30
)

// WriteBundle writes the log, as it is at this moment, as a bundle whose folder has that name, while others may go on writing. Every photo
// is looked over. What the log itself has lost is told, there too, and the rest is kept.
func (l *Log) WriteBundle(ctx context.Context, to io.Writer, folder string) (done BackedUp, err error) {
	scratch, err := l.scratch()
	if err != nil {
		return done, faultOf(l.path, err)
	}
	defer func() { _ = os.RemoveAll(scratch) }()
	out := zip.NewWriter(to)
	// Drafts first: what they name is in the tables by then.
	if err := l.bundleDrafts(ctx, out, folder, &done); err != nil {
		return done, faultOf(l.path, err)
	}
	beside, err := l.copyBeside(ctx, filepath.Join(scratch, bundleLog))
	if err != nil {
		return done, faultOf(l.path, err)
	}
	hashes, err := l.looked(ctx, beside)
	if err == nil {
		err = addFile(out, path.Join(folder, bundleLog), beside)
	}
	if err != nil {
		return done, faultOf(l.path, err)
	}
	for _, hash := range hashes {
		if err := ctx.Err(); err != nil {
			return done, err
		}
		data, err := l.Photo(hash)
		if fault.Is(err, "logbook.photo-gone", "logbook.photo-changed") {
			done.Lacks = append(done.Lacks, fault.Of(err).Note)
			continue
		}
		if err == nil {
			to := path.Join(folder, filepath.Base(PhotosOf(bundleLog)), hash[:2], hash)
			err = addTo(out, to, zip.Store, data) // photos are packed already
		}
		if err != nil {
			return done, faultOf(l.path, err)
		}
		done.Photos++
	}
	if len(done.Lacks) > 0 {
		var text strings.Builder
		for _, n := range done.Lacks {
			text.WriteString(n.String() + "\n")
		}
		if err := addTo(out, path.Join(folder, bundleLacks), zip.Deflate, []byte(text.String())); err != nil {
			return done, faultOf(l.path, err)
		}
	}
	return done, faultOf(l.path, out.Close())
}

// scratch makes a folder for what is not whole yet.
func (l *Log) scratch() (string, error) {
	return os.MkdirTemp(filepath.Dir(l.path), halfWritten+filepath.Base(stem(l.path))+"-*")
}

func (l *Log) bundleDrafts(ctx context.Context, out *zip.Writer, folder string, done *BackedUp) error {
	return l.drafts(ctx, func(s draftStep) error {
		done.Steps++
		return addTo(out, path.Join(folder, filepath.Base(DraftsOf(bundleLog)), s.name), zip.Deflate, s.content)
	})
}

func addFile(out *zip.Writer, name, file string) error {
	in, err := os.Open(file)
	if err != nil {
		return err
	}
	defer func() { _ = in.Close() }()
	w, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate})
	if err == nil {
		_, err = io.Copy(w, in)
	}
	return err
}

func addTo(out *zip.Writer, name string, method uint16, data []byte) error {
	w, err := out.CreateHeader(&zip.FileHeader{Name: name, Method: method})
	if err == nil {
		_, err = w.Write(data)
	}
	return err
}

// IsBundle reports whether a file begins as a bundle does.
//
// Source: ISO/IEC 21320-1, for the signature of a first entry.
func IsBundle(beginning []byte) bool { return strings.HasPrefix(string(beginning), "PK\x03\x04") }

// TakeBundle takes in the rows of a bundle as Import does, and the photos and drafts that are in it. What is here already stays as it is.
// Where it is cut short, nothing is half written: asked for again, it brings what is missing yet.
func (l *Log) TakeBundle(ctx context.Context, from io.ReaderAt, size int64, opt ImportOptions) (done Imported, err error) {
	archive, err := zip.NewReader(from, size)
	if err != nil {
		return done, wrong("logbook.no-bundle").Because(err)
	}
	scratch, err := l.scratch()
	if err != nil {
		return done, faultOf(l.path, err)
	}
	defer func() { _ = os.RemoveAll(scratch) }()
	photos, err := unpack(ctx, archive, scratch, mostBundled)
	if err != nil {
		return done, err
	}
	return l.takeFolder(ctx, scratch, func(hash string) ([]byte, error) {
		if photos[hash] == nil {
			return nil, nil
		}
		return unpacked(ctx, photos[hash])
	}, opt)
}

// takeFolder takes in the log and the drafts of a folder that nobody else has, and the photos that are missing then; photo gives their
// bytes, or nil where it has none.
func (l *Log) takeFolder(
	ctx context.Context, scratch string, photo func(hash string) ([]byte, error), opt ImportOptions,
) (done Imported, err error) {
	rows := filepath.Join(scratch, "rows")
	if err := exportTo(ctx, filepath.Join(scratch, bundleLog), rows); err != nil {
		return done, err
	}
	in, err := os.Open(rows)
	if err != nil {
		return done, faultOf(l.path, err)
	}
	defer func() { _ = in.Close() }()
	if done, err = l.Import(ctx, in, opt); err != nil {
		return done, err
	}
	missing := done.Photos
	done.Photos = nil
	for _, hash := range missing {
		data, err := photo(hash)
		if err == nil && data == nil {
			done.Photos = append(done.Photos, hash)
			continue
		}
		if err == nil {
			err = l.storeAs(ctx, hash, data)
		}
		if fault.Is(err, "logbook.photo-changed", "logbook.no-bundle") {
			done.Photos = append(done.Photos, hash)
			continue
		}
		if err != nil {
			return done, faultOf(l.path, err)
		}
		done.Brought++
	}
	return done, nil
}

// storeAs stores bytes that are to have a hash.
func (l *Log) storeAs(ctx context.Context, hash string, data []byte) error {
	if HashOf(data) != hash {
		return faulty(l.path, "logbook.photo-changed", "photo", shortHash(hash), "file", bundleLog)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return l.store(hash, data)
}

// unpack puts the log of an archive and its drafts, which may have so many bytes together, into a folder, and finds its photos by their
// hashes. All else in it is passed over.
func unpack(ctx context.Context, archive *zip.Reader, folder string, most int64) (photos map[string]*zip.File, err error) {
	photos = map[string]*zip.File{}
	found := false
	for _, entry := range archive.File {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var n int64
		name := path.Base(entry.Name)
		switch in := path.Base(path.Dir(entry.Name)); {
		case isHash(name):
			photos[name] = entry
		case name == bundleLog && !found:
			found = true
			n, err = unpackTo(entry, filepath.Join(folder, bundleLog), most)
		case in == filepath.Base(DraftsOf(bundleLog)) && draftName.MatchString(name):
			n, err = unpackTo(entry, filepath.Join(folder, in, name), min(mostDraft, most))
		}
		if err != nil {
			return nil, err
		}
		most -= n
	}
	if !found {
		return nil, wrong("logbook.no-bundle")
	}
	return photos, nil
}

// unpackTo writes an entry to a file, which may have so many bytes, and returns how many it has.
func unpackTo(entry *zip.File, to string, most int64) (n int64, err error) {
	in, err := entry.Open()
	if err != nil {
		return 0, wrong("logbook.no-bundle").Because(err)
	}
	defer func() { _ = in.Close() }()
	if err := os.MkdirAll(filepath.Dir(to), folderMode); err != nil {
		return 0, faultOf(to, err)
	}
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, fileMode)
	switch {
	case errors.Is(err, fs.ErrExist): // a name that comes twice
		return 0, wrong("logbook.no-bundle").Because(err)
	case err != nil:
		return 0, faultOf(to, err)
	}
	source := &failing{Reader: in}
	n, err = io.Copy(out, io.LimitReader(source, most+1))
	err = errors.Join(err, out.Close())
	if source.err != nil || n > most {
		return 0, wrong("logbook.no-bundle").Because(err)
	}
	return n, faultOf(to, err)
}

// A failing reader keeps why it could not be read, apart from why what was read could not be written.
type failing struct {
	io.Reader
	err error
}

func (f *failing) Read(p []byte) (int, error) {
	n, err := f.Reader.Read(p)
	if err != nil && err != io.EOF {
		f.err = err
	}
	return n, err
}

// mostPhotoBytes is how large a photo of a bundle may be, in bytes: larger than any that the pages take.
const mostPhotoBytes = 256 << 20

func unpacked(ctx context.Context, entry *zip.File) ([]byte, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	in, err := entry.Open()
	if err != nil {
		return nil, wrong("logbook.no-bundle").Because(err)
	}
	defer func() { _ = in.Close() }()
	data, err := io.ReadAll(io.LimitReader(in, mostPhotoBytes+1))
	if err != nil || len(data) > mostPhotoBytes {
		return nil, wrong("logbook.no-bundle").Because(err)
	}
	return data, nil
}

// exportTo exports a log that was unpacked. What is wrong with it is the bundle's fault, not that of the log that takes it in.
func exportTo(ctx context.Context, path, to string) error {
	there, err := Open(ctx, path, Options{})
	if err == nil {
		err = kept.Write(to, func(w io.Writer) error { return there.Export(ctx, w) })
		err = faultOf(to, errors.Join(err, there.Close()))
	}
	switch {
	case err == nil, fault.Is(err, "logbook.full"):
		return err
	case ctx.Err() != nil:
		return ctx.Err()
	case fault.Is(err, "logbook.newer"):
		return fault.New(fault.Log, "logbook.export-newer")
	}
	return wrong("logbook.no-bundle").Because(err)
}
