package web

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"huewright/internal/figure"
	"huewright/internal/logbook"
)

func bytesOf(data []byte) func() ([]byte, error) {
	return func() ([]byte, error) { return data, nil }
}

// peakMemory is how much more the program takes at most, in MB, while something is done.
func peakMemory(do func()) float64 {
	var m runtime.MemStats
	inUse := func() int64 {
		runtime.ReadMemStats(&m)
		return int64(m.HeapInuse + m.StackInuse)
	}
	runtime.GC()
	before, peak := inUse(), int64(0)
	var stop atomic.Bool
	var wait sync.WaitGroup
	wait.Go(func() {
		for !stop.Load() {
			peak = max(peak, inUse())
			time.Sleep(5 * time.Millisecond)
		}
	})
	do()
	stop.Store(true)
	wait.Wait()
	return float64(peak-before) / 1e6
}

// Uploads that are held before their end lie on the disk: 24 of 63 MB stay under 300 MB of memory, and others are
// answered. Where one breaks off, nothing of it is left.
func TestHeldUploadsAreNotHeldInMemory(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	cookie := v.http.Jar.Cookies(must(http.NewRequest(http.MethodGet, v.base, nil)).URL)[0]
	const size = 63 << 20
	held := figure.Draws(8, 24)
	lines := make([]net.Conn, held)
	took := peakMemory(func() {
		var wait sync.WaitGroup
		for i := range lines {
			line, err := net.Dial("tcp", strings.TrimPrefix(v.base, "http://"))
			require.NoError(t, err)
			lines[i] = line
			wait.Go(func() {
				_, _ = fmt.Fprintf(line, "POST %s/photo HTTP/1.1\r\nHost: %s\r\nCookie: %s=%s\r\nContent-Type: multipart/form-data; boundary=x\r\n"+
					"Content-Length: %d\r\n\r\n--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n",
					p, strings.TrimPrefix(v.base, "http://"), cookie.Name, cookie.Value, size+1000)
				_, _ = io.Copy(line, &endless{size - 1000})
			})
		}
		wait.Wait()
		require.Eventually(t, func() bool { return len(v.s.receiving) == held }, 20*time.Second, 10*time.Millisecond)
		status, body := v.upload(p, "front.jpg", drawnCabinet().JPEG)
		require.Equal(t, http.StatusOK, status, body)
	})
	figure.Report(t, "held uploads", "%d take %.0f MB", held, took)
	require.Less(t, took, 300*float64(held)/24+40)
	for _, line := range lines {
		_ = line.Close()
	}
	require.Eventually(t, func() bool {
		left, err := filepath.Glob(filepath.Join(v.s.drafts.folder, halfWritten+"*"))
		return err == nil && len(left) == 0 && len(v.s.receiving) == 0
	}, 20*time.Second, 10*time.Millisecond, "who left gives the place back, and nothing is left")
	require.Len(t, v.draft(p).Photos, 1)
}

// Many uploads at once are taken in one after the other, or told to come again: they do not add up in memory, and none is lost.
func TestManyUploadsAtOnce(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	many := figure.Draws(50, 200)
	statuses := make([]int, many)
	took := peakMemory(func() {
		var wait sync.WaitGroup
		for i := range statuses {
			wait.Go(func() {
				statuses[i], _ = v.upload(p, fmt.Sprintf("photo %d.jpg", i), append(bytes.Clone(drawnCabinet().JPEG), byte(i)))
			})
		}
		wait.Wait()
	})
	taken := 0
	for _, status := range statuses {
		require.Contains(t, []int{http.StatusOK, http.StatusServiceUnavailable}, status)
		if status == http.StatusOK {
			taken++
		}
	}
	figure.Report(t, "uploads at once", "%d of %d taken, %.0f MB", taken, many, took)
	require.Positive(t, taken)
	require.Less(t, took, 500.0)
	require.Len(t, v.draft(p).Photos, taken)
	require.Empty(t, must(v.s.log.Verify(t.Context())))
	require.Len(t, must(v.s.log.Find(context.Background(), logbook.Query{Kind: "picture", Limit: 300})), taken)
}

// A sender who leaves while the photo waits for its turn gives up both, and nothing of the photo is kept.
func TestASenderWhoLeavesGivesUpTheTurn(t *testing.T) {
	v := paired(t)
	p := v.begin("desk")
	release := must(v.s.acquire(t.Context()))
	ctx, leave := context.WithCancel(t.Context())
	asked := make(chan error, 1)
	go func() {
		var body bytes.Buffer
		body.WriteString("--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n")
		body.Write(drawnCabinet().JPEG)
		body.WriteString("\r\n--x--\r\n")
		r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+p+"/photo", &body)
		if err == nil {
			r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
			_, err = v.http.Do(r)
		}
		asked <- err
	}()
	require.Eventually(t, func() bool { return len(v.s.receiving) == 1 }, 10*time.Second, time.Millisecond)
	time.Sleep(50 * time.Millisecond)
	leave()
	require.ErrorIs(t, <-asked, context.Canceled)
	require.Eventually(t, func() bool { return len(v.s.receiving) == 0 }, 10*time.Second, time.Millisecond, "while the turn is another's")
	release()
	require.Empty(t, v.draft(p).Photos)
}
