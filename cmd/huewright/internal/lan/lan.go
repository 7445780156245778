// Package lan answers this machine's own networks, and nothing beyond: it finds the private addresses, listens on each,
// follows them when they change, and makes a certificate for them.
//
// Begin with [Follower]; [OpenCertificate] is for those who want https.
package lan

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strconv"
	"time"
)

// Addresses are the private and link-local IPv4 addresses of this machine, that of the way out of it first. Addresses of
// the internet are none of them, nor is the loopback.
//
// Source: RFC 1918, RFC 3927.
func Addresses() (all []netip.Addr) {
	interfaces, err := net.Interfaces()
	if err != nil {
		return nil
	}
	for _, i := range interfaces {
		if i.Flags&net.FlagUp == 0 {
			continue
		}
		addresses, err := i.Addrs()
		if err != nil {
			continue // it has just gone
		}
		for _, a := range addresses {
			if prefix, err := netip.ParsePrefix(a.String()); err == nil && isOwn(prefix.Addr().Unmap()) {
				all = append(all, prefix.Addr().Unmap())
			}
		}
	}
	out := wayOut()
	slices.SortStableFunc(all, func(a, b netip.Addr) int {
		switch {
		case a == out:
			return -1
		case b == out:
			return 1
		}
		return 0
	})
	return all
}

func isOwn(a netip.Addr) bool { return a.Is4() && (a.IsPrivate() || a.IsLinkLocalUnicast()) }

// wayOut is the address that this machine would speak to others from. Nothing is sent.
func wayOut() netip.Addr {
	// Source: RFC 5737. Documentation may name this address, and nobody has it.
	c, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return netip.Addr{}
	}
	defer func() { _ = c.Close() }()
	return c.LocalAddr().(*net.UDPAddr).AddrPort().Addr().Unmap()
}

// A Follower listens on one port of each address there is.
type Follower struct {
	Port      int
	Addresses func() []netip.Addr // those that there are now; nil means Addresses
	Came      func(net.Listener)  // is called for each address that comes
	Went      func(host string)   // and for each that went, with its host:port, after its listener was closed

	open map[netip.Addr]net.Listener
}

// Update listens on addresses that came and closes those that went. It returns the addresses that are listened on, in their
// order, and whether any came or went. An address that cannot be listened on is tried again by the next Update.
func (f *Follower) Update() (on []netip.Addr, changed bool) {
	find := f.Addresses
	if find == nil {
		find = Addresses
	}
	now := find()
	for a, l := range f.open {
		if !slices.Contains(now, a) {
			_ = l.Close()
			delete(f.open, a)
			changed = true
			f.Went(hostOf(a, f.Port))
		}
	}
	if f.open == nil {
		f.open = map[netip.Addr]net.Listener{}
	}
	for _, a := range now {
		if f.open[a] == nil {
			l, err := net.Listen("tcp4", hostOf(a, f.Port))
			if err != nil {
				continue
			}
			f.open[a], changed = l, true
			f.Came(l)
		}
		if !slices.Contains(on, a) {
			on = append(on, a)
		}
	}
	return on, changed
}

// Follow updates again and again until ctx ends, and tells what is listened on when that has changed. Then it closes all.
func (f *Follower) Follow(ctx context.Context, every time.Duration, tell func([]netip.Addr)) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			for _, l := range f.open {
				_ = l.Close()
			}
			return
		case <-tick.C:
			if on, changed := f.Update(); changed {
				tell(on)
			}
		}
	}
}

func hostOf(a netip.Addr, port int) string { return net.JoinHostPort(a.String(), strconv.Itoa(port)) }

// Hosts are addresses with a port.
func Hosts(all []netip.Addr, port int) (hosts []string) {
	for _, a := range all {
		hosts = append(hosts, hostOf(a, port))
	}
	return hosts
}

// Local listens on the loopback: on the port, or, where that is taken and another will do, on any that is free.
func Local(port int, orAny bool) (net.Listener, error) {
	l, err := net.Listen("tcp4", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil && orAny {
		return net.Listen("tcp4", "127.0.0.1:0")
	}
	return l, err
}
