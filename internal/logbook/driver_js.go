package logbook

import (
	"errors"

	"github.com/ncruces/go-sqlite3"
	_ "github.com/ncruces/go-sqlite3/driver" // registers itself
	"github.com/ncruces/go-sqlite3/ext/fts5"
	"github.com/ncruces/go-sqlite3/ext/rtree"
)

func init() {
	sqlite3.AutoExtension(rtree.Register)
	sqlite3.AutoExtension(fts5.Register)
}

// driver is the database/sql driver of the log where the program runs in a browser, for which the other one does not build.
// It needs the build tag sqlite3_dotlk: there is one process there, which keeps its locks as files beside the log.
const driver = "sqlite3"

// codeOf is SQLite's primary result code; 0 for an error that is not SQLite's.
//
// On a full disk this driver says that writing failed; why is lost where SQLite goes back before it tells. A browser refuses to write
// for no other reason.
func codeOf(err error) int {
	if errors.Is(err, sqlite3.IOERR_WRITE) || errors.Is(err, sqlite3.IOERR_TRUNCATE) {
		return codeFull
	}
	var code sqlite3.ErrorCode // of an error, or of what a file of the database says
	if errors.As(err, &code) {
		return int(code)
	}
	return 0
}
