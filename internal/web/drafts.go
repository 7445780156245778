package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"huewright/internal/atomicfile"
	"huewright/internal/fault"
	"huewright/internal/piece"
	"huewright/internal/workshop"
)

// A pieceDraft is a piece being worked on, with what its pages show beside it.
type pieceDraft struct {
	ID      string
	Piece   piece.Piece
	Photos  map[string]workshop.PhotoLook   // by name
	Read    map[string]workshop.SpotReading // last reading of each area, by name
	Chips   map[string]workshop.SpotReading `json:",omitempty"` // readings of chips on photos, by chipKey
	Checks  map[string]repairAnswer         // last answer for each repair, by name
	Slips   map[string]string               `json:",omitempty"` // the first slip of paper agreed to in each photo, until they tie
	Ticked  map[string]bool                 `json:",omitempty"` // steps of the schedule that are done, by workshop.PlanResult.StepKeys
	On      map[string]coatsOn              `json:",omitempty"` // coats that are on and not measured yet, by area
	Choice  []workshop.ChosenCoats          `json:",omitempty"` // of the plan that was chosen; none is the suggested one
	Changed time.Time
	Did     string // what the last step did, for undoing it

	step    int    // its number; 0 for a draft that is not kept yet
	key     string // tells it from every other step, also from one that had its number and was undone
	damaged int    // later steps that cannot be read
}

// readAgain forgets all readings.
func (d *pieceDraft) readAgain() { d.Read, d.Chips = map[string]workshop.SpotReading{}, nil }

// chipKey tells chips on photos apart.
func chipKey(s *piece.ColourSource) string { return s.Photo + ": " + s.Outline }

// coatsOn are coats that somebody has put on and not measured yet.
type coatsOn struct {
	Coating     string
	Coats       int
	At          time.Time // of the last
	Temperature *float64  `json:",omitempty"` // then, in the units of the piece; nil is not known
}

// A repairAnswer is what was found of a repair.
type repairAnswer struct {
	Verdict, StandsOut, Colour string
	Why, Advice, Warnings      []string
}

// draftStore are kept in a folder, each step in a file of its own, so that steps can be undone.
type draftStore struct {
	folder string
	mutex  sync.Mutex // of the folder's files
	busy   sync.Map   // a mutex for each draft that is being changed, by its id
}

// keptSteps are how many steps back can be undone.
const keptSteps = 30

func openDrafts(folder string) (*draftStore, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	return &draftStore{folder: folder}, tidy(folder, time.Now().Add(-24*time.Hour))
}

// halfWritten is how files of the drafts' folder begin that are not whole yet.
const halfWritten = "incoming-"

// tidy removes what programs left half written that were ended before a time; what is younger may still be written.
func tidy(folder string, before time.Time) error {
	left, err := filepath.Glob(filepath.Join(folder, halfWritten+"*"))
	for _, path := range left {
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() && info.ModTime().Before(before) {
			_ = os.Remove(path) // one that stays does no harm
		}
	}
	return err
}

var idPattern = regexp.MustCompile(`^[a-z0-9]{8,32}$`)

var errNoDraft = fault.New(fault.Use, "page.no-piece")

// steps are the files of a draft, the last last.
func (d *draftStore) steps(id string) ([]string, error) {
	if !idPattern.MatchString(id) {
		return nil, errNoDraft
	}
	all, err := filepath.Glob(filepath.Join(d.folder, id+".*.json"))
	slices.Sort(all)
	if err == nil && len(all) == 0 {
		err = errNoDraft
	}
	return all, err
}

func (d *draftStore) load(id string) (*pieceDraft, error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.last(id)
}

// last is the last step that can be read. Later ones that are damaged stay as they are, and the next step comes after
// them.
func (d *draftStore) last(id string) (*pieceDraft, error) {
	steps, err := d.steps(id)
	if err != nil {
		return nil, err
	}
	good, draft, err := lastGood(id, steps)
	if err != nil {
		return nil, err
	}
	draft.damaged = len(steps) - 1 - good
	_, err = fmt.Sscanf(strings.TrimPrefix(filepath.Base(steps[len(steps)-1]), id+"."), "%d.json", &draft.step)
	return draft, err
}

// lastGood is the last of a draft's steps that is not damaged, and its place among them. The error is that
// of damagedDraft where all are.
func lastGood(id string, steps []string) (int, *pieceDraft, error) {
	for i := len(steps) - 1; i >= 0; i-- {
		draft, err := readDraft(id, steps[i])
		if f := fault.Of(err); f == nil || f.Code != "page.damaged-draft" {
			return i, draft, err
		}
	}
	return 0, nil, damagedDraft(steps[len(steps)-1])
}

// damagedDraft reports a step that is not what was written.
func damagedDraft(path string) *fault.Fault {
	return fault.New(fault.File, "page.damaged-draft", "file", filepath.Base(path))
}

// at is the step of a key; nil where it is gone.
func (d *draftStore) at(id, key string) *pieceDraft {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	steps, err := d.steps(id)
	if err != nil {
		return nil
	}
	for i := len(steps) - 1; i >= 0; i-- {
		if draft, err := readDraft(id, steps[i]); err == nil && draft.key == key {
			return draft
		}
	}
	return nil
}

func readDraft(id, path string) (*pieceDraft, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	draft := &pieceDraft{key: keyOfStep(data)}
	if err := json.Unmarshal(data, draft); err != nil || draft.ID != id {
		return nil, damagedDraft(path)
	}
	if draft.Photos == nil {
		draft.Photos = map[string]workshop.PhotoLook{}
	}
	if draft.Read == nil {
		draft.Read = map[string]workshop.SpotReading{}
	}
	return draft, nil
}

// change lets do change a draft and keeps it as a further step, or, where do returns an error, leaves
// it as it was.
func (d *draftStore) change(id, did string, now time.Time, do func(*pieceDraft) error) (*pieceDraft, error) {
	// One step of a draft at a time; others, and those who only look, need not wait while it is read.
	own, _ := d.busy.LoadOrStore(id, &sync.Mutex{})
	own.(*sync.Mutex).Lock()
	defer own.(*sync.Mutex).Unlock()
	for range 20 {
		draft, err := d.load(id)
		if err != nil {
			return nil, err
		}
		draft.Did, draft.Changed = did, now
		if err := do(draft); err != nil {
			return nil, err
		}
		d.mutex.Lock()
		err = d.keep(draft)
		d.mutex.Unlock()
		if !errors.Is(err, fs.ErrExist) {
			return draft, err
		}
		// Another program that serves the same log was quicker: what it did is changed further.
	}
	return nil, fault.New(fault.Use, "page.changing")
}

// begin keeps a new draft.
func (d *draftStore) begin(draft *pieceDraft) error {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	return d.keep(draft)
}

// keep writes a step: beside, synced, and given its name, which none must have yet. The error is
// fs.ErrExist where one has.
func (d *draftStore) keep(draft *pieceDraft) error {
	data, err := json.Marshal(draft)
	if err != nil {
		return err
	}
	steps, _ := d.steps(draft.ID) // a new draft has none
	// The step after the one that was changed, not after the last there is by now.
	path := filepath.Join(d.folder, fmt.Sprintf("%s.%08d.json", draft.ID, draft.step+1))
	once := atomicfile.Options{Beside: halfWritten + "*", Mode: 0o600, Name: nameOnce}
	if err := once.WriteBytes(path, data); err != nil {
		return err
	}
	draft.step++
	draft.key, draft.damaged = keyOfStep(data), 0
	for len(steps) >= keptSteps {
		_ = os.Remove(steps[0]) // an old step that stays does no harm
		steps = steps[1:]
	}
	return nil
}

func keyOfStep(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:6])
}

// nameOnce gives a file a name that none has.
func nameOnce(from, to string) error {
	err := os.Link(from, to)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	// A file system without links, as on a memory stick: only a moment is left between looking and naming.
	if _, err := os.Stat(to); err == nil {
		return fs.ErrExist
	}
	return os.Rename(from, to)
}

// undo takes the last step back, where it is the one that was seen, or any where seen is "". It says what was undone; ""
// where there is nothing to undo.
func (d *draftStore) undo(id, seen string) (string, error) {
	own, _ := d.busy.LoadOrStore(id, &sync.Mutex{})
	own.(*sync.Mutex).Lock()
	defer own.(*sync.Mutex).Unlock()
	d.mutex.Lock()
	defer d.mutex.Unlock()
	steps, err := d.steps(id)
	if err != nil || len(steps) < 2 {
		return "", err
	}
	good, last, err := lastGood(id, steps)
	if err != nil || good == 0 {
		return "", err
	}
	if seen != "" && seen != last.key {
		return "", errChangedSince
	}
	return last.Did, os.Remove(steps[good])
}

// errChangedSince reports an undoing that was asked for on a page that promised to undo something else.
var errChangedSince = fault.New(fault.Use, "page.changed-since")

// canUndo reports what would be undone; "" for nothing.
func (d *draftStore) canUndo(id string) string {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	steps, err := d.steps(id)
	if err != nil || len(steps) < 2 {
		return ""
	}
	good, last, err := lastGood(id, steps)
	if err != nil || good == 0 {
		return ""
	}
	return last.Did
}

// all are all drafts, the last changed first, and the faults of those that cannot be read.
func (d *draftStore) all() (all []*pieceDraft, faults []error, err error) {
	d.mutex.Lock()
	defer d.mutex.Unlock()
	entries, err := os.ReadDir(d.folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, err
	}
	seen := map[string]bool{}
	for _, e := range entries {
		id, _, found := strings.Cut(e.Name(), ".")
		if !found || seen[id] || !idPattern.MatchString(id) {
			continue
		}
		seen[id] = true
		draft, err := d.last(id)
		switch {
		case err == nil:
			all = append(all, draft)
		case !errors.Is(err, errNoDraft):
			faults = append(faults, err)
		}
	}
	slices.SortFunc(all, func(a, b *pieceDraft) int { return b.Changed.Compare(a.Changed) })
	return all, faults, nil
}
