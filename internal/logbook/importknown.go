package logbook

import (
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"huewright/internal/fault"
)

type importer struct {
	*Writer
	strict  bool
	leftOut map[string]bool // uids of entries that came without their details

	line    int
	done    Imported
	columns map[string][]string         // of a table that an export may fill
	of      map[string]map[string]int64 // numbers of the rows of a table, by uid
	entries map[int64]string            // uids of the entries that came in, by number
	drafts  map[string][]draftStep      // by the draft's id
}

// begin forgets what one reading of the export has found.
func (in *importer) begin() {
	in.done, in.of, in.entries, in.drafts = Imported{}, map[string]map[string]int64{}, map[int64]string{}, map[string][]draftStep{}
}

func uidOf(column string, raw json.RawMessage) (uid string, named bool, err error) {
	if raw == nil {
		return "", false, nil
	}
	err = json.Unmarshal(raw, &uid)
	if bytes, bad := hex.DecodeString(uid); err != nil || bad != nil || len(bytes) != 16 || uid != strings.ToLower(uid) {
		return "", false, wrong("logbook.line-value", "column", column, "value", shown(string(raw))).Because(err)
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
func (in *importer) same(table string, r *importRow) (int64, error) {
	where, args := equal(r.columns, r.values, "uid")
	return in.find("SELECT id FROM "+table+" WHERE "+where, args...)
}

// keys are the columns that distinguish a row without a uid from others of its table.
var keys = map[string][]string{"photo": {"sha256"}, "run_photo": {"run", "path"}}

func (in *importer) there(table string, r *importRow) (bool, error) {
	key := keys[table]
	if key == nil {
		key = []string{"entry"}
	}
	var args []any
	for _, c := range key {
		v := r.value(c)
		if v == nil {
			return false, wrong("logbook.line-lacks", "table", table, "column", c)
		}
		args = append(args, v)
	}
	where, args := equal(key, args)
	n, err := in.find("SELECT count(*) FROM "+table+" WHERE "+where, args...)
	return n > 0, err
}

// thereBefore is there for predictions of a plan: all of a plan's are known, or none.
func (in *importer) thereBefore(r *importRow) (bool, error) {
	where, args := equal(r.columns, r.values)
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
func (in *importer) known(table, uid string, r *importRow) (bool, error) {
	switch table {
	case "piece":
		return false, in.rename(r)
	case "coating", "batch":
		same, err := in.same(table, r)
		if err == nil && same != 0 && uid != "" {
			in.remember(table, uid, same)
		}
		return same != 0, err
	case "run", "entry":
		return false, nil
	case "foreseen":
		return in.thereBefore(r)
	}
	return in.there(table, r)
}

// rename gives a piece another name where one here has it.
func (in *importer) rename(r *importRow) error {
	name, isText := r.value("name").(string)
	if !isText {
		return wrong("logbook.line-lacks", "table", "piece", "column", "name")
	}
	for n, free := 2, name; ; n++ {
		there, err := in.piece(free)
		if err != nil {
			return err
		}
		if there == 0 {
			if free != name {
				r.set("name", free)
				in.done.Renamed = append(in.done.Renamed, fault.Say("logbook.renamed", "piece", name, "name", free))
			}
			return nil
		}
		free = fmt.Sprintf("%s (%d)", name, n)
	}
}
