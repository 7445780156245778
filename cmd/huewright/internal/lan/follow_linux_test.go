package lan

import (
	"context"
	"net"
	"net/netip"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Only Linux has the whole of 127.0.0.0/8 without setting it up.

// Addresses that come are listened on, those that went are closed, and others stay as they are.
func TestAChangeOfAddressIsFollowed(t *testing.T) {
	free, err := net.Listen("tcp4", "127.0.0.1:0")
	require.NoError(t, err)
	port := free.Addr().(*net.TCPAddr).Port
	require.NoError(t, free.Close())
	var now []netip.Addr
	var came, went []string
	f := &Follower{
		Port: port, Addresses: func() []netip.Addr { return now },
		Came: func(l net.Listener) { came = append(came, l.Addr().String()) }, Went: func(host string) { went = append(went, host) },
	}
	one, two := netip.MustParseAddr("127.0.0.2"), netip.MustParseAddr("127.0.0.3")
	answers := func(a netip.Addr) bool {
		c, err := net.DialTimeout("tcp4", hostOf(a, port), time.Second)
		if err == nil {
			_ = c.Close()
		}
		return err == nil
	}
	on, changed := f.Update()
	require.Empty(t, on)
	require.False(t, changed)
	now = []netip.Addr{one}
	on, changed = f.Update()
	require.Equal(t, now, on)
	require.True(t, changed)
	require.True(t, answers(one))
	require.False(t, answers(netip.MustParseAddr("127.0.0.4")), "no other address is listened on")
	_, changed = f.Update()
	require.False(t, changed)
	now = []netip.Addr{two}
	on, changed = f.Update()
	require.Equal(t, now, on)
	require.True(t, changed)
	require.False(t, answers(one))
	require.True(t, answers(two))
	require.Equal(t, []string{hostOf(one, port), hostOf(two, port)}, came)
	require.Equal(t, []string{hostOf(one, port)}, went)

	taken, err := net.Listen("tcp4", hostOf(one, port))
	require.NoError(t, err)
	now = []netip.Addr{one, two}
	on, _ = f.Update()
	require.Equal(t, []netip.Addr{two}, on, "another program has the port there")
	require.NoError(t, taken.Close())
	on, _ = f.Update()
	require.Equal(t, now, on)

	told, ended := make(chan []netip.Addr), make(chan struct{})
	now = []netip.Addr{one}
	ctx, stop := context.WithCancel(t.Context())
	go func() {
		f.Follow(ctx, time.Millisecond, func(on []netip.Addr) { told <- on })
		close(ended)
	}()
	require.Equal(t, now, <-told)
	require.True(t, answers(one))
	stop()
	<-ended
	require.False(t, answers(one), "all are closed")
}
