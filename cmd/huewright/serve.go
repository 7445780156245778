package main

import (
	"context"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os/exec"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"huewright/cmd/huewright/internal/lan"
	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/fault"
	"huewright/internal/logbook"
	"huewright/internal/terminal"
	"huewright/internal/web"
)

type serveFlags struct {
	log    shell.LogFlags
	port   int
	lan    bool
	tls    bool
	forget bool
	noOpen bool
}

// usualPort is where the pages are, so that a browser finds them again. Our own choice, of those that nobody has claimed.
const usualPort = 8642

func newServe(stdout io.Writer) *cobra.Command {
	var flags serveFlags
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "use huewright in a browser, on a phone too",
		Long: `Serve does the whole job in a browser: photos, areas that you draw with a finger, the plan, each coat, repairs, the card
and the log. It opens the browser of this machine.

With --lan you can use your phone. Serve then shows an address and a code to scan. The phone needs no app and no
internet, but it must be in the same network as this machine.

Pair each browser once, with a code. A code works once, for half an hour. When you have used it, serve shows the next
one. A browser stays paired until it logs out or stays away for 90 days. --forget ends all pairings.

Without --lan only this machine is answered. With --lan everybody in your network can read what is sent and act in your
name, so use a network of your own. With --tls what is sent is encrypted. The browser then also lets the pages use the camera,
work offline and share. It warns you the first time, because this machine has made the certificate itself.`,
		Example: `huewright serve
huewright serve --lan`,
		Args: shell.Exactly(0, "none", ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runServe(cmd, stdout, &flags)
		},
	}
	flags.log.Register(cmd)
	cmd.Flags().IntVar(&flags.port, "port", usualPort, "The `PORT` to answer on. If it is taken, serve finds another.")
	cmd.Flags().BoolVar(&flags.lan, "lan", false, "Answer the local network too, for a phone.")
	cmd.Flags().BoolVar(&flags.tls, "tls", false, "Encrypt what is sent. Needs --lan.")
	cmd.Flags().BoolVar(&flags.forget, "forget", false, "Forget all paired browsers, and stop.")
	cmd.Flags().BoolVar(&flags.noOpen, "no-open", false, "Do not open a browser.")
	return cmd
}

func runServe(cmd *cobra.Command, stdout io.Writer, flags *serveFlags) error {
	ctx, stop := context.WithCancel(cmd.Context())
	defer stop()
	if flags.tls && !flags.lan {
		return shell.Like(fault.New(fault.Use, "use.tls-without-lan"), "huewright serve --lan --tls")
	}
	log, err := flags.log.Open(ctx, cmd.ErrOrStderr(), logbook.Options{Make: true})
	if err != nil {
		return err
	}
	defer func() { _ = log.Close() }() // what was written is on the disk already
	if flags.forget {
		n, err := web.ForgetBrowsers(log.Path())
		if err == nil {
			_, err = fmt.Fprintf(stdout, "Browsers forgotten: %d. Each needs a new code now.\n", n)
		}
		return err
	}
	listener, err := lan.Local(flags.port, !cmd.Flags().Changed("port"))
	if err != nil {
		return fault.New(fault.Use, "use.port", "port", fmt.Sprint(flags.port), "cause", shell.Cause(err)).Because(err)
	}
	s := &serving{out: stdout, port: listener.Addr().(*net.TCPAddr).Port, flags: flags, addresses: lan.Addresses, every: 5 * time.Second}
	s.server, err = web.New(log, web.Options{
		Hosts: []string{s.local(), fmt.Sprintf("localhost:%d", s.port)}, Program: version(), Limits: shell.Disk(ctx, "").Limits,
		NewCode: s.sayCode,
	})
	if err != nil {
		return err
	}
	if s.port != flags.port && flags.port != 0 {
		_ = s.print(fmt.Sprintf("Port %d is taken, perhaps by another huewright: this time it is %d.\n", flags.port, s.port))
	}
	here := fmt.Sprintf("http://%s/pair?code=%s", s.local(), s.server.NewCode())
	_ = s.print("On this machine: " + here + "\n")
	if flags.lan {
		if err := s.answerNetwork(ctx, strings.TrimSuffix(log.Path(), ".db")+"-tls"); err != nil {
			return err
		}
	}
	err = s.print("\nEnd with Ctrl-C.\n")
	if err == nil {
		if !flags.noOpen {
			openBrowser(here)
		}
		err = s.server.Serve(ctx, listener)
	}
	stop()
	s.network.Wait()
	return err
}

// serving is what is said while the pages are served.
type serving struct {
	server  *web.Server
	port    int
	flags   *serveFlags
	network sync.WaitGroup // what answers the network, until it has ended

	addresses   func() []netip.Addr // of this machine in its own networks
	every       time.Duration       // that they are looked at
	certificate *lan.Certificate    // nil for http
	told        string              // the fingerprint that was shown

	mutex sync.Mutex
	out   io.Writer
	fault error    // of writing to it
	hosts []string // that phones reach, the likeliest first
}

func (s *serving) local() string { return fmt.Sprintf("127.0.0.1:%d", s.port) }

// print writes a text, and returns the first fault of writing there was.
func (s *serving) print(text string) error {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if _, err := io.WriteString(s.out, text); err != nil && s.fault == nil {
		s.fault = err
	}
	return s.fault
}

// answerNetwork answers the machine's own networks too, in https where that is asked for, and follows a change of address.
func (s *serving) answerNetwork(ctx context.Context, certificates string) error {
	if s.flags.tls {
		var err error
		if s.certificate, err = lan.OpenCertificate(certificates, time.Now); err != nil {
			return err
		}
		if err := s.certificate.For(s.addresses()); err != nil {
			return err
		}
	}
	follower := &lan.Follower{Port: s.port, Addresses: s.addresses, Went: s.server.RefuseHost}
	follower.Came = func(l net.Listener) {
		s.server.AllowHost(l.Addr().String())
		if s.certificate != nil {
			l = s.certificate.Listener(l)
		}
		s.network.Go(func() { _ = s.server.Serve(ctx, l) }) // it ends with ctx, or when the address goes
	}
	on, _ := follower.Update()
	s.sayNetwork(on)
	if s.certificate == nil {
		_ = s.print("\nWhat is sent is not encrypted: anybody in the same network can read it and act in your name.\n" +
			"Use a network of your own, or --tls.\n")
	}
	s.network.Go(func() { follower.Follow(ctx, s.every, s.sayNetwork) })
	return nil
}

// sayNetwork says where phones reach the pages, and makes sure that the certificate names it.
func (s *serving) sayNetwork(on []netip.Addr) {
	s.mutex.Lock()
	s.hosts = lan.Hosts(on, s.port)
	s.mutex.Unlock()
	if len(on) == 0 {
		_ = s.print("\nNo address in a private network was found. Join one, as by Wi-Fi; this goes on by itself then.\n")
		return
	}
	s.sayCode(s.server.NewCode())
	if s.certificate == nil {
		return
	}
	if err := s.certificate.For(on); err != nil {
		_ = s.print(fmt.Sprintf("\nThe certificate could not be kept: %v\n", err))
	}
	if print := s.certificate.Fingerprint(); print != s.told {
		s.told = print
		_ = s.print(fmt.Sprintf("\nThe browser will warn of a certificate that it does not know. It is this one: SHA-256\n%s\n"+
			"To end the warnings, have the phone trust the file %s\n", print, s.certificate.Path()))
	}
}

// sayCode shows a code that pairs a browser, with links that bring it along.
func (s *serving) sayCode(code string) {
	s.mutex.Lock()
	hosts := s.hosts
	s.mutex.Unlock()
	var out strings.Builder
	fmt.Fprintf(&out, "\nNext code, for one browser within half an hour: %s\n", code)
	if !s.flags.lan {
		fmt.Fprintf(&out, "http://%s/pair?code=%s\n", s.local(), code)
	}
	scheme := "http"
	if s.flags.tls {
		scheme = "https"
	}
	for i, host := range hosts {
		url := fmt.Sprintf("%s://%s/pair?code=%s", scheme, host, code)
		fmt.Fprintf(&out, "On a phone in this network: %s\n", url)
		if i == 0 {
			if drawn, err := qr.Encode(url, qr.L); err == nil {
				out.WriteString(terminalQR(drawn))
			}
		}
	}
	_ = s.print(out.String())
}

// terminalQR draws a code in half blocks, dark on light.
func terminalQR(code *qr.Code) string {
	const quiet = 2
	var out strings.Builder
	black := func(x, y int) bool { return x >= 0 && y >= 0 && x < code.Size && y < code.Size && code.Black(x, y) }
	for y := -quiet; y < code.Size+quiet; y += 2 {
		line := ""
		for x := -quiet; x < code.Size+quiet; x++ {
			switch upper, lower := black(x, y), black(x, y+1); {
			case upper && lower:
				line += "█"
			case upper:
				line += "▀"
			case lower:
				line += "▄"
			default:
				line += " "
			}
		}
		out.WriteString("  " + terminal.QRLine(line) + "\n")
	}
	return out.String()
}

// openBrowser opens an address; where that does not work, it stands on the terminal.
func openBrowser(url string) {
	name, args := "xdg-open", []string{url}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", url}
	}
	cmd := exec.Command(name, args...)
	if cmd.Start() == nil {
		go func() { _ = cmd.Wait() }()
	}
}
