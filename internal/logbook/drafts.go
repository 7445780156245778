package logbook

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"huewright/internal/fault"
)

// Drafts are pieces that are being worked on in the pages: a file of JSON for each step, in a folder beside the log.
// What a step says is the pages' own; the log keeps it safe, whole, and with the photos that it names.

// DraftsOf is where the drafts of a log lie.
func DraftsOf(path string) string { return strings.TrimSuffix(path, ".db") + "-bench" }

// DraftFolder is where the drafts lie.
func (l *Log) DraftFolder() string { return DraftsOf(l.path) }

// draftName is how the file of a step is called: the draft's id and the step's number.
var draftName = regexp.MustCompile(`^([a-z0-9]{8,32})\.([0-9]{8})\.json$`)

// mostDraft is how large a step may be, in bytes. Our own choice: a draft of 200 areas has some 100 KB.
const mostDraft = 16 << 20

// A draftStep is one step of a draft.
type draftStep struct {
	name    string // of its file
	content []byte
}

// drafts calls do with each step there is, in the order of their names.
func (l *Log) drafts(ctx context.Context, do func(draftStep) error) error {
	entries, err := os.ReadDir(l.DraftFolder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := ctx.Err(); err != nil {
			return err
		}
		if !draftName.MatchString(e.Name()) {
			continue
		}
		data, err := os.ReadFile(filepath.Join(l.DraftFolder(), e.Name()))
		if errors.Is(err, fs.ErrNotExist) {
			continue // an old step, which the pages have let go of meanwhile
		}
		if err != nil {
			return err
		}
		if err := do(draftStep{e.Name(), data}); err != nil {
			return err
		}
	}
	return nil
}

// hashPattern finds what may be the hash of a photo.
var hashPattern = regexp.MustCompile(`"[0-9a-f]{64}"`)

// fault says what is wrong with a step; it is empty for nothing. A photo is known by its hash.
func (d *draftStep) fault(known map[string]bool) fault.Note {
	if len(d.content) > mostDraft || !json.Valid(d.content) || !bytes.HasPrefix(bytes.TrimSpace(d.content), []byte("{")) {
		return fault.Say("logbook.draft-unreadable", "name", d.name)
	}
	for _, quoted := range hashPattern.FindAll(d.content, -1) {
		if hash := string(quoted[1 : len(quoted)-1]); !known[hash] {
			return fault.Say("logbook.draft-photo", "name", d.name, "photo", shortHash(hash))
		}
	}
	return fault.Note{}
}

// write writes a step as a line of an export. One that cannot be read is left out; Verify tells of it.
func (d *draftStep) write(out *bufio.Writer) error {
	var content bytes.Buffer
	if json.Compact(&content, d.content) != nil {
		return nil
	}
	_, err := fmt.Fprintf(out, `{"is":"draft","name":%q,"content":%s}`+"\n", d.name, content.Bytes())
	return err
}
