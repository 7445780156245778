package web

import (
	"archive/zip"
	"io"
	"net/http"
	"os"
	"path/filepath"

	"huewright/internal/fault"
)

// foundFiles are what a browser's file system kept after a fault, as logbook.TakeFound leaves it.
func (s *Server) foundFiles() ([]string, error) {
	if s.found == "" {
		return nil, nil
	}
	return filepath.Glob(s.found + "-*/*")
}

// saveFound sends what was kept after a fault as one file, each under its folder and number.
func (s *Server) saveFound(w http.ResponseWriter, r *http.Request) error {
	files, err := s.foundFiles()
	if err != nil {
		return err
	}
	if len(files) == 0 {
		return failed(http.StatusNotFound, fault.New(fault.Use, "page.no-page"))
	}
	name := "huewright-found-" + s.now().Local().Format("2006-01-02") + ".zip"
	return s.sendFile(w, "application/zip", name, func(to io.Writer) error {
		out := zip.NewWriter(to)
		for _, file := range files {
			if err := addFound(out, file); err != nil {
				return err
			}
			if err := r.Context().Err(); err != nil {
				return err
			}
		}
		return out.Close()
	})
}

func addFound(out *zip.Writer, file string) error {
	from, err := os.Open(file)
	if err != nil {
		return err
	}
	defer func() { _ = from.Close() }()
	to, err := out.Create(filepath.Base(filepath.Dir(file)) + "/" + filepath.Base(file))
	if err != nil {
		return err
	}
	_, err = io.Copy(to, from)
	return err
}

// removeFound takes away what was kept after a fault.
func (s *Server) removeFound(w http.ResponseWriter, r *http.Request) error {
	files, err := s.foundFiles()
	if err != nil {
		return err
	}
	for _, file := range files {
		if err := os.RemoveAll(filepath.Dir(file)); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/log", http.StatusSeeOther)
	return nil
}
