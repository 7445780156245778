package web

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A page whose reader has left gives its turn to the next, and what was begun for it is not kept.
func TestWhoLeavesFreesTheTurn(t *testing.T) {
	v := paired(t)
	path := v.begin("desk")
	id := strings.TrimPrefix(path, "/piece/")
	require.NoError(t, v.s.admitPhoto(t.Context(), id, "front.jpg", bytesOf(drawnCabinet().JPEG)))
	for _, f := range []url.Values{
		{"do": {"area"}, "name": {"frame"}, "outline": {"495,210,45,330"}, "photo": {"front"}, "surface": {"sealed"}},
		{"do": {"coating"}, "name": {"wash"}, "kind": {"wash"}, "chip-colour": {"#5a4030"}},
		{"do": {"target"}, "target-colour": {"42, 15, 21"}},
	} {
		require.NoError(t, stepNamed(f.Get("do")).do(t.Context(), v.s, stepRequest{id: id, form: form{f}}))
	}

	ctx, leave := context.WithCancel(t.Context())
	defer leave()
	asked := make(chan error, 1)
	go func() {
		r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+path+"/do", strings.NewReader("do=plan"))
		if err == nil {
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			_, err = v.http.Do(r)
		}
		asked <- err
	}()
	for len(v.s.heavy) == 0 {
		time.Sleep(time.Millisecond / 4)
	}
	leave()
	require.ErrorIs(t, <-asked, context.Canceled)
	done, err := v.s.acquire(t.Context())
	require.NoError(t, err)
	done()
	d, err := v.s.drafts.load(id)
	require.NoError(t, err)
	require.Empty(t, v.s.plans.all, "nobody was there to be told")
	for range 2 {
		status, _ := v.post(path+"/do", "do", "plan")
		require.Equal(t, http.StatusOK, status, "it is planned when it is asked for again")
	}
	m, err := v.s.planned(t.Context(), d)
	require.NoError(t, err)
	require.NotNil(t, m.result)
}

func TestGivenUpWorkKeepsNothing(t *testing.T) {
	s, _ := served(t)
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := s.acquire(ended)
	require.Equal(t, context.Canceled, err)
	require.Empty(t, s.heavy)
	require.Empty(t, s.waiting)
	require.ErrorIs(t, s.admitPhoto(ended, "abcdefgh", "front.jpg", bytesOf(drawnCabinet().JPEG)), context.Canceled)
	require.Empty(t, s.heavy)
}
