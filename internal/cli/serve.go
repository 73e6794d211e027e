package cli

import (
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"runtime"

	"midcase/internal/web"
)

type serveCmd struct {
	Addr   string `help:"Address to serve on; the loopback interface only, unless you say otherwise." default:"127.0.0.1:8686"`
	NoOpen bool   `help:"Do not open a browser."`
}

// Run serves the shop, making it where it is missing.
func (c serveCmd) Run(a *app) error {
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	return a.serve(s, c.Addr, !c.NoOpen)
}

// serve serves until the process is told to stop. The address is printed as one line.
func (a *app) serve(s *opened, addr string, open bool) error {
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return fmt.Errorf("serve on %s: %w", addr, err)
	}
	if host, _, err := net.SplitHostPort(l.Addr().String()); err == nil {
		if ip := net.ParseIP(host); ip != nil && !ip.IsLoopback() {
			fmt.Fprintln(a.err, "warning: the shop can be reached from other machines, and nobody is asked to sign in; use this behind a gate that does")
		}
	}
	log := slog.New(slog.NewTextHandler(a.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	h := web.New(s.Shop, web.Options{Log: log, User: user(""), Head: s.store.Head})
	url := "http://" + l.Addr().String()
	fmt.Fprintf(a.out, "listening on %s\n", url)
	if open && a.live {
		openBrowser(url)
	}
	err = web.Serve(a.ctx, l, h)
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}

// openBrowser opens the address where there is a browser to open it with.
func openBrowser(url string) {
	name := map[string]string{"darwin": "open", "windows": "explorer"}[runtime.GOOS]
	if name == "" {
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return
		}
		name = "xdg-open"
	}
	if path, err := exec.LookPath(name); err == nil {
		cmd := exec.Command(path, url)
		if cmd.Start() == nil {
			go func() { _ = cmd.Wait() }()
		}
	}
}
