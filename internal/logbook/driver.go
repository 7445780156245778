//go:build !js

package logbook

import (
	"errors"

	"modernc.org/sqlite"
)

// driver is the database/sql driver of the log. In a browser it is another: see driver_js.go.
const driver = "sqlite"

// codeOf is SQLite's primary result code; 0 for an error that is not SQLite's.
func codeOf(err error) int {
	if e := (*sqlite.Error)(nil); errors.As(err, &e) {
		return e.Code() & 0xff // without the extended part
	}
	return 0
}
