package logbook

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
)

type importer struct {
	*Writer
	line    int
	done    Imported
	columns map[string]map[string]bool
	of      map[string]map[string]int64 // numbers of the rows of a table, by uid
}

func uidOf(raw json.RawMessage) (uid string, named bool, err error) {
	if raw == nil {
		return "", false, nil
	}
	if err := json.Unmarshal(raw, &uid); err != nil {
		return "", false, err
	}
	if bytes, err := hex.DecodeString(uid); err != nil || len(bytes) != 16 {
		return "", false, fmt.Errorf("%q is no uid", uid)
	}
	return uid, true, nil
}

func (in *importer) remember(table, uid string, id int64) {
	if in.of[table] == nil {
		in.of[table] = map[string]int64{}
	}
	in.of[table][uid] = id
}

// number is the number of a row that is known by its uid; 0 where there is none.
func (in *importer) number(table, uid string) (int64, error) {
	if id := in.of[table][uid]; id != 0 {
		return id, nil
	}
	bytes, err := hex.DecodeString(uid)
	if err != nil {
		return 0, err
	}
	id, err := in.find("SELECT id FROM "+table+" WHERE uid = ?", bytes)
	if id != 0 {
		in.remember(table, uid, id)
	}
	return id, err
}

// same is the number of a row that says the same of a coating or a batch.
func (in *importer) same(table string, columns []string, values []any) (int64, error) {
	where, args := equal(columns, values, "uid")
	return in.find("SELECT id FROM "+table+" WHERE "+where, args...)
}

// keys are the columns that distinguish a row without a uid from others of its table.
var keys = map[string][]string{"photo": {"sha256"}, "run_photo": {"run", "path"}}

func (in *importer) there(table string, columns []string, values []any) (bool, error) {
	key := keys[table]
	if key == nil {
		key = []string{"entry"}
	}
	var only []string
	var args []any
	for i, c := range columns {
		if slices.Contains(key, c) {
			only, args = append(only, c), append(args, values[i])
		}
	}
	if len(only) != len(key) {
		return false, fmt.Errorf("the line does not say %s", strings.Join(key, ", "))
	}
	where, args := equal(only, args)
	n, err := in.find("SELECT count(*) FROM "+table+" WHERE "+where, args...)
	return n > 0, err
}

// thereBefore is there for predictions of a plan: all of a plan's are known, or none.
func (in *importer) thereBefore(columns []string, values []any) (bool, error) {
	where, args := equal(columns, values)
	n, err := in.find("SELECT count(*) FROM foreseen WHERE "+where, args...)
	return n > 0, err
}

func equal(columns []string, values []any, but ...string) (where string, args []any) {
	for i, c := range columns {
		if !slices.Contains(but, c) {
			where, args = where+" AND "+c+" = ?", append(args, values[i])
		}
	}
	return strings.TrimPrefix(where, " AND "), args
}

// known reports whether a row without a number of its own is there already, and gives a piece another name where
// one here has it.
func (in *importer) known(table, uid string, columns []string, values []any) (bool, error) {
	switch table {
	case "piece":
		return false, in.rename(columns, values)
	case "coating", "batch":
		same, err := in.same(table, columns, values)
		if err == nil && same != 0 {
			in.remember(table, uid, same)
		}
		return same != 0, err
	case "run", "entry":
		return false, nil
	case "foreseen":
		return in.thereBefore(columns, values)
	}
	return in.there(table, columns, values)
}

// rename gives a piece another name where one here has it.
func (in *importer) rename(columns []string, values []any) error {
	at := slices.Index(columns, "name")
	if at < 0 {
		return errors.New("the piece has no name")
	}
	name, _ := values[at].(string)
	for n := 2; ; n++ {
		there, err := in.piece(fmt.Sprint(values[at]))
		if err != nil || there == 0 {
			return err
		}
		values[at] = fmt.Sprintf("%s (%d)", name, n)
		if n == 2 {
			in.done.Renamed = append(in.done.Renamed, "")
		}
		in.done.Renamed[len(in.done.Renamed)-1] = fmt.Sprintf("another piece called %q came in as %q", name, values[at])
	}
}

// Imported says what came of an import.
type Imported struct {
	Rows    int      // that were new
	Known   int      // that were there already
	Renamed []string // pieces that had the name of another; each a sentence
	Photos  []string // hashes of photos that are named and not there
}
