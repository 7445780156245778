package logbook

import (
	"context"
	_ "embed"
	"fmt"
	"os"
)

//go:embed schema/0001.sql
var schema1 string

//go:embed schema/0002.sql
var schema2 string

//go:embed schema/0003.sql
var schema3 string

// steps are all of them, the first from nothing to version 1. A step that has been released is
// never changed: add another, and a database of the version before it to testdata.
var steps = []step{{schema1}, {schema2}, {schema3}}

// migrate brings the log from a version to the latest, all at once or not at all. A copy of a log
// that had a version is left beside it.
func (l *Log) migrate(ctx context.Context, version int) error {
	if version > 0 {
		copied := fmt.Sprintf("%s.version-%d", l.path, version)
		if _, err := os.Stat(copied); err != nil {
			if err := l.copyTo(ctx, copied); err != nil {
				return err
			}
		}
	}
	tx, err := l.begin(ctx)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	// Another program may have been faster.
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	for ; version < len(l.opt.steps); version++ {
		if _, err := tx.ExecContext(ctx, l.opt.steps[version].statements); err != nil {
			return fmt.Errorf("bringing the log to version %d: %w", version+1, err)
		}
	}
	// Pragmas take no parameters.
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, version)); err != nil {
		return err
	}
	return tx.Commit()
}
