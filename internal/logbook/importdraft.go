package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// takeDraft takes in a step of a draft; it is kept when all else is.
func (in *importer) takeDraft(row map[string]json.RawMessage) error {
	var name string
	if err := json.Unmarshal(row["name"], &name); err != nil {
		return wrong("logbook.line-unreadable").Because(err)
	}
	parts := draftName.FindStringSubmatch(name)
	var draft struct{ ID string }
	if err := json.Unmarshal(row["content"], &draft); err != nil || parts == nil || draft.ID != parts[1] {
		return wrong("logbook.line-value", "column", "name", "value", shown(name)).Because(err)
	}
	var content bytes.Buffer
	if err := json.Compact(&content, row["content"]); err != nil {
		return wrong("logbook.line-unreadable").Because(err)
	}
	in.drafts[draft.ID] = append(in.drafts[draft.ID], draftStep{name, content.Bytes()})
	return nil
}

// keepDrafts keeps the drafts that came in, whose photos the log has. A draft that went on otherwise here comes in as
// another one.
func (in *importer) keepDrafts(l *Log, hashes []string) error {
	known := map[string]bool{}
	for _, hash := range hashes {
		known[hash] = true
	}
	for id, steps := range in.drafts {
		sound := steps[:0:0]
		for _, s := range steps {
			if why := s.fault(known); !why.Empty() {
				in.done.Refused = append(in.done.Refused, why)
				continue
			}
			sound = append(sound, s)
		}
		for _, s := range l.asDrafts(id, sound) {
			path := filepath.Join(l.DraftFolder(), s.name)
			if _, err := os.Stat(path); err == nil {
				in.done.Known++
				continue
			}
			if err := os.MkdirAll(l.DraftFolder(), folderMode); err != nil {
				return err
			}
			if err := kept.WriteBytes(path, s.content); err != nil {
				return err
			}
			in.done.Rows++
		}
	}
	return nil
}

// asDrafts are the steps of a draft under its own id, or, where one of them differs from what is here, under another one
// that is made from what they say: so they come in once, however often they come.
func (l *Log) asDrafts(id string, steps []draftStep) []draftStep {
	sum, differs := sha256.New(), false
	for _, s := range steps {
		_, _ = fmt.Fprintf(sum, "%s %d %s\n", s.name, len(s.content), s.content) // never fails
		here, err := os.ReadFile(filepath.Join(l.DraftFolder(), s.name))
		differs = differs || !errors.Is(err, fs.ErrNotExist) && !bytes.Equal(here, s.content)
	}
	if !differs {
		return steps
	}
	other := hex.EncodeToString(sum.Sum(nil))[:16]
	var renamed []draftStep
	for _, s := range steps {
		var fields map[string]json.RawMessage
		if json.Unmarshal(s.content, &fields) != nil {
			continue // takeDraft has read it
		}
		fields["ID"] = json.RawMessage(`"` + other + `"`)
		content, err := json.Marshal(fields)
		if err != nil {
			continue
		}
		renamed = append(renamed, draftStep{other + s.name[len(id):], content})
	}
	return renamed
}
