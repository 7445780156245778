package logbook

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/colour"
	"huewright/internal/fault"
	"huewright/internal/figure"
)

// What this binary does when it is started by a test of itself.
const childVariable = "LOGBOOK_TEST_CHILD"

func TestMain(m *testing.M) {
	switch os.Getenv(childVariable) {
	case "":
		os.Exit(m.Run())
	case "write":
		writeForEver(os.Getenv(placeVariable))
	case "open":
		l, err := Open(context.Background(), os.Getenv(placeVariable), Options{})
		fmt.Println(l != nil, err)
	case "read only":
		os.Exit(writeWhereNothingMay(os.Getenv(placeVariable)))
	}
}

// child starts this binary again to do something with a log.
func child(t *testing.T, does, path string) *exec.Cmd {
	self, err := os.Executable()
	require.NoError(t, err)
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), childVariable+"="+does, placeVariable+"="+path)
	return cmd
}

// writeForEver writes a photo, an entry that names it and a reading, and tells the entry's number once
// it has been kept, until it is killed.
func writeForEver(path string) {
	l, err := Open(context.Background(), path, Options{Make: true})
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	for n := 0; ; n++ {
		var id int64
		err := l.Write(context.Background(), func(w *Writer) error {
			if err := w.BeginOnce("sideboard"); err != nil {
				return err
			}
			data := []byte(strings.Repeat(fmt.Sprintf("photo %d of %d. ", n, os.Getpid()), 5000))
			hash, err := w.KeepPhoto(data, PhotoFacts{Name: "front.jpg"})
			if err != nil {
				return err
			}
			if _, err := w.Add(Entry{Piece: "sideboard", Picture: &Picture{hash}}); err != nil {
				return err
			}
			id, err = w.Add(Entry{Piece: "sideboard", Area: "top", Reading: &Reading{Of: "area", Lab: colour.Lab{L: 50, A: 8, B: 20}, SHA256: hash}})
			return err
		})
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		fmt.Println(id)
	}
}

// TestKilledWhileWriting kills a writer at moments of chance, 200 times in the long run: every entry it was
// told of is there, with its whole photo.
func TestKilledWhileWriting(t *testing.T) {
	if runtime.GOOS == "windows" || runtime.GOOS == "js" {
		t.Skip("processes are not killed like this on Windows, and there are none in a browser")
	}
	runs := figure.Draws(40, 200)
	path := filepath.Join(t.TempDir(), fileName)
	rng := rand.New(rand.NewPCG(uint64(time.Now().UnixNano()), 1)) // the moments need not be the same each time
	told := map[int64]bool{}
	check := func() {
		l, err := Open(context.Background(), path, Options{Make: true})
		require.NoError(t, err)
		defer func() { require.NoError(t, l.Close()) }()
		faults, err := l.Verify(context.Background())
		require.NoError(t, err)
		require.Empty(t, faults)
		kept, err := collect(context.Background(), l.db, "SELECT e.id FROM entry e JOIN reading r ON r.entry = e.id JOIN photo p "+
			"ON p.sha256 = r.sha256", func(scan func(...any) error) (id int64, err error) {
			return id, scan(&id)
		})
		require.NoError(t, err)
		there := map[int64]bool{}
		for _, id := range kept {
			there[id] = true
		}
		for id := range told {
			require.Truef(t, there[id], "entry #%d was told to be kept and is not there", id)
		}
	}
	for run := range runs {
		cmd := child(t, "write", path)
		out, err := cmd.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, cmd.Start())
		var after *time.Timer
		lines := bufio.NewReader(out)
		for {
			line, err := lines.ReadString('\n')
			if err == io.EOF || err != nil || !strings.HasSuffix(line, "\n") {
				break
			}
			id, err := strconv.ParseInt(strings.TrimSpace(line), 10, 64)
			require.NoError(t, err, line)
			told[id] = true
			if after == nil {
				after = time.AfterFunc(time.Duration(rng.IntN(15_000))*time.Microsecond, func() { _ = cmd.Process.Kill() })
			}
		}
		_ = cmd.Wait()
		if run%20 == 19 {
			check()
		}
	}
	figure.Report(t, "killed writers", "none of %d entries in %d runs", len(told), runs)
	require.Greater(t, len(told), runs)
}

// TestTwoWritersAtOnce lets several writers, each with a log of its own, write to one file.
func TestTwoWritersAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), fileName)
	const writers, entries = 3, 40
	var wait sync.WaitGroup
	for n := range writers {
		wait.Go(func() {
			l, err := Open(context.Background(), path, Options{Make: true})
			if err != nil {
				t.Error(err)
				return
			}
			defer func() { _ = l.Close() }()
			for i := range entries {
				if err := l.Write(context.Background(), func(w *Writer) error {
					if err := w.BeginOnce("sideboard"); err != nil {
						return err
					}
					_, err := w.Add(Entry{Piece: "sideboard", Note: fmt.Sprintf("writer %d, note %d", n, i)})
					return err
				}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	l, err := Open(context.Background(), path, Options{})
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	all, err := l.Timeline(context.Background(), "sideboard")
	require.NoError(t, err)
	require.Equal(t, writers*entries, len(all))
}

// TestOneWaitsAndSaysSo holds the log for longer than a second: the other says that it waits, and
// gives up when its patience ends.
func TestOneWaitsAndSaysSo(t *testing.T) {
	if runtime.GOOS == "js" {
		t.Skip("in a browser one program alone has the log")
	}
	path := filepath.Join(t.TempDir(), fileName)
	var waiting atomic.Int32
	opt := Options{Make: true, Patience: 2500 * time.Millisecond, Waiting: func() { waiting.Add(1) }}
	one, err := Open(context.Background(), path, opt)
	require.NoError(t, err)
	defer func() { _ = one.Close() }()
	two, err := Open(context.Background(), path, opt)
	require.NoError(t, err)
	defer func() { _ = two.Close() }()
	begin := func(w *Writer) error { return w.BeginOnce("sideboard") }
	hold := func(until chan bool) chan error {
		holding, done := make(chan bool), make(chan error)
		go func() {
			done <- one.Write(context.Background(), func(w *Writer) error {
				err := begin(w)
				close(holding)
				<-until
				return err
			})
		}()
		<-holding
		return done
	}
	until := make(chan bool)
	done := hold(until)
	time.AfterFunc(1500*time.Millisecond, func() { close(until) })
	require.NoError(t, two.Write(context.Background(), begin))
	require.NoError(t, <-done)
	require.EqualValues(t, 1, waiting.Load())
	until = make(chan bool)
	done = hold(until)
	err = two.Write(context.Background(), begin)
	close(until)
	require.NoError(t, <-done)
	require.True(t, fault.Is(err, "logbook.busy"), "%v", err)
}
