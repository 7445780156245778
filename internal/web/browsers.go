package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"huewright/internal/atomicfile"
)

// browserStore are the paired browsers, a file for each beside the log, under the hash of its token: pairing outlasts the
// program, whoever reads the files cannot pass for a browser, and a file that is gone is a browser that is forgotten.
type browserStore struct {
	folder string
	cookie string // what the token's cookie is called: another log on this host has another
	now    func() time.Time
}

// A pairedBrowser is known by its token.
type pairedBrowser struct {
	ID    string    `json:"-"` // hash of its token
	Kind  string    `json:"kind"`
	Since time.Time `json:"since"`
	Seen  time.Time `json:"-"` // last, to the hour
}

const (
	rememberedFor = 90 * 24 * time.Hour // that a browser is known after it was last seen
	seenEvery     = time.Hour           // how exactly that is kept
)

// browsersOf is where the paired browsers of a log lie.
func browsersOf(log string) string { return strings.TrimSuffix(log, ".db") + "-browsers" }

func openBrowsers(folder string, now func() time.Time) (*browserStore, error) {
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return nil, err
	}
	if err := tidy(folder, time.Now().Add(-24*time.Hour)); err != nil {
		return nil, err
	}
	b := &browserStore{folder: folder, now: now}
	path := filepath.Join(folder, "cookie")
	name, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) { // a start on a full disk writes nothing
		once := atomicfile.Options{Beside: halfWritten + "*", Mode: 0o600, Name: nameOnce}
		if err := once.WriteBytes(path, []byte(randomText(5))); err != nil && !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		name, err = os.ReadFile(path)
	}
	b.cookie = "huewright-" + string(name)
	return b, err
}

func idOf(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

func (b *browserStore) path(id string) string { return filepath.Join(b.folder, id+".json") }

// add pairs a browser, and returns its token.
func (b *browserStore) add(kind string) (token string, err error) {
	token = randomText(20)
	data, err := json.Marshal(pairedBrowser{Kind: kind, Since: b.now()})
	if err != nil {
		return "", err
	}
	path := b.path(idOf(token))
	if err := (atomicfile.Options{Beside: halfWritten + "*", Mode: 0o600}).WriteBytes(path, data); err != nil {
		return "", err
	}
	return token, os.Chtimes(path, b.now(), b.now())
}

// known reports whether a token is that of a paired browser, and whether it had not been seen for a while.
func (b *browserStore) known(token string) (known, again bool) {
	path := b.path(idOf(token))
	info, err := os.Stat(path)
	if err != nil {
		return false, false
	}
	age := b.now().Sub(info.ModTime())
	if age > rememberedFor {
		_ = os.Remove(path) // one that stays is refused all the same
		return false, false
	}
	if again = age > seenEvery; again {
		_ = os.Chtimes(path, b.now(), b.now()) // else it is forgotten sooner
	}
	return true, again
}

var browserFile = regexp.MustCompile(`^([0-9a-f]{64})\.json$`)

// all are the paired browsers, the last seen first; those too that were not seen for too long.
func (b *browserStore) all() (all []pairedBrowser, err error) {
	entries, err := os.ReadDir(b.folder)
	for _, e := range entries {
		m := browserFile.FindStringSubmatch(e.Name())
		if m == nil {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue // just forgotten
		}
		one := pairedBrowser{ID: m[1], Seen: info.ModTime()}
		if data, err := os.ReadFile(b.path(one.ID)); err == nil {
			_ = json.Unmarshal(data, &one) // without what it says it can still be forgotten
		}
		all = append(all, one)
	}
	slices.SortFunc(all, func(a, c pairedBrowser) int { return c.Seen.Compare(a.Seen) })
	return all, err
}

// forget forgets the browsers of which that holds; their next request is refused.
func (b *browserStore) forget(which func(pairedBrowser) bool) (n int, err error) {
	all, err := b.all()
	for _, one := range all {
		if which(one) {
			if fault := os.Remove(b.path(one.ID)); fault != nil && !errors.Is(fault, fs.ErrNotExist) {
				return n, fault
			}
			n++
		}
	}
	return n, err
}

// ForgetBrowsers forgets every browser that was paired with a log; a server that runs refuses them from then on.
func ForgetBrowsers(log string) (n int, err error) {
	b := &browserStore{folder: browsersOf(log), now: time.Now}
	n, err = b.forget(func(pairedBrowser) bool { return true })
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	return n, err
}
