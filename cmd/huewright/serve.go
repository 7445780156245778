package main

import (
	"fmt"
	"io"
	"net"
	"os/exec"
	"runtime"
	"strings"

	"github.com/spf13/cobra"
	"rsc.io/qr"

	"huewright/cmd/huewright/internal/shell"
	"huewright/internal/logbook"
	"huewright/internal/terminal"
	"huewright/internal/web"
)

type serveFlags struct {
	log    shell.LogFlags
	port   int
	lan    bool
	noOpen bool
}

func newServe(stdout io.Writer) *cobra.Command {
	var flags serveFlags
	cmd := &cobra.Command{
		Use:   "serve",
		Short: "use huewright in a browser, on a phone too",
		Long: `Serve does the whole job in a browser: photos, areas that you draw with a finger, the plan, each coat, repairs, the card
and the log. It opens the browser of this machine.

With --lan you can use your phone. Serve then shows an address and a code to scan. The phone needs no app and no
internet, but it must be in the same network as this machine.

Pair each browser once, with a code that works once. Without --lan only this machine is answered. With --lan everybody
in your network can see what is sent, so use a network of your own.`,
		Example: `huewright serve
huewright serve --lan`,
		Args: shell.Exactly(0, "none", ""),
		RunE: func(cmd *cobra.Command, args []string) error {
			return runServe(cmd, stdout, &flags)
		},
	}
	flags.log.Register(cmd)
	cmd.Flags().IntVar(&flags.port, "port", 0, "The `PORT` to answer on. Default: any that is free.")
	cmd.Flags().BoolVar(&flags.lan, "lan", false, "Answer the local network too, for a phone.")
	cmd.Flags().BoolVar(&flags.noOpen, "no-open", false, "Do not open a browser.")
	return cmd
}

func runServe(cmd *cobra.Command, stdout io.Writer, flags *serveFlags) error {
	ctx := cmd.Context()
	log, err := flags.log.Open(ctx, cmd.ErrOrStderr(), logbook.Options{Make: true})
	if err != nil {
		return err
	}
	defer func() { _ = log.Close() }() // what was written is on the disk already
	host := "127.0.0.1"
	if flags.lan {
		host = "0.0.0.0"
	}
	listener, err := net.Listen("tcp", fmt.Sprintf("%s:%d", host, flags.port))
	if err != nil {
		return shell.WrongUse("say another: --port 8642, or leave it out", "port %d cannot be used: %w", flags.port, err)
	}
	port := listener.Addr().(*net.TCPAddr).Port
	local := fmt.Sprintf("127.0.0.1:%d", port)
	hosts := []string{local, fmt.Sprintf("localhost:%d", port)}
	var outside []string
	if flags.lan {
		outside = lanAddresses(port)
		hosts = append(hosts, outside...)
	}
	server, err := web.New(log, web.Options{Hosts: hosts, Program: version(), Limits: shell.Disk(ctx, "").Limits})
	if err != nil {
		return err
	}
	here := fmt.Sprintf("http://%s/pair?code=%s", local, server.NewCode())
	if err := sayServe(stdout, here, outside, server.NewCode); err != nil {
		return err
	}
	if !flags.noOpen {
		openBrowser(here)
	}
	return server.Serve(ctx, listener)
}

// sayServe says where the pages are. Each address has a code that works once.
func sayServe(w io.Writer, here string, outside []string, code func() string) error {
	var out strings.Builder
	fmt.Fprintf(&out, "on this machine: %s\n", here)
	for i, address := range outside {
		url := fmt.Sprintf("http://%s/pair?code=%s", address, code())
		fmt.Fprintf(&out, "\non a phone in this network: %s\n", url)
		if i == 0 {
			if drawn, err := qr.Encode(url, qr.L); err == nil {
				out.WriteString(terminalQR(drawn))
			}
		}
	}
	if len(outside) > 0 {
		var codes []string
		for range 3 {
			codes = append(codes, code())
		}
		fmt.Fprintf(&out, "\nfurther codes, each for one browser: %s\n", strings.Join(codes, "  "))
	}
	out.WriteString("\nend with Ctrl-C\n")
	_, err := io.WriteString(w, out.String())
	return err
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

// lanAddresses are this machine's addresses in local networks, with a port.
func lanAddresses(port int) (all []string) {
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && n.IP.IsPrivate() {
			all = append(all, fmt.Sprintf("%s:%d", n.IP, port))
		}
	}
	return all
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
