package cli

import (
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"

	"midcase/internal/web"
)

type serveCmd struct {
	Addr    string `help:"Address to serve on; the loopback interface only, unless you say otherwise. Others need people who sign in: 'midcase people add'." default:"127.0.0.1:8686"`
	NoOpen  bool   `help:"Do not open a browser."`
	TLS     bool   `name:"tls" help:"Serve over TLS with a certificate that the shop makes for itself; a phone's camera and microphone need TLS. The browser asks once whether to trust it: compare the fingerprint."`
	TLSCert string `name:"tls-cert" help:"Serve over TLS with this certificate (PEM)." type:"existingfile" placeholder:"FILE"`
	TLSKey  string `name:"tls-key" help:"Key of the certificate (PEM)." type:"existingfile" placeholder:"FILE"`
	Gated   bool   `help:"Serve beyond this machine though nobody has to sign in, because something in front of the shop asks who is there."`
}

// Run serves the shop, making it where it is missing.
func (c serveCmd) Run(a *app) error {
	if (c.TLSCert == "") != (c.TLSKey == "") {
		return wrong("--tls-cert and --tls-key go together")
	}
	s, err := a.open(true)
	if err != nil {
		return err
	}
	defer s.close()
	how := serving{addr: c.Addr, open: !c.NoOpen, gated: c.Gated}
	switch {
	case c.TLSCert != "":
		pair, err := tls.LoadX509KeyPair(c.TLSCert, c.TLSKey)
		if err != nil {
			return fmt.Errorf("certificate: %w", err)
		}
		how.certificate = &pair
	case c.TLS:
		if how.certificate, err = ownCertificate(filepath.Join(s.dir, "tls"), a.now()); err != nil {
			return err
		}
		fmt.Fprintf(a.err, "fingerprint of the certificate, SHA-256: %s\n", fingerprint(how.certificate))
	}
	return a.serve(s, how)
}

// serving is how a shop is served.
type serving struct {
	addr        string
	open, gated bool
	certificate *tls.Certificate // nil for plain HTTP
}

// serve serves until the process is told to stop. The address is printed as one line.
func (a *app) serve(s *opened, how serving) error {
	if err := a.mayServe(s, how); err != nil {
		return err
	}
	l, err := net.Listen("tcp", how.addr)
	if err != nil {
		return fmt.Errorf("serve on %s: %w", how.addr, err)
	}
	url := "http://" + l.Addr().String()
	if how.certificate != nil {
		url = "https://" + l.Addr().String()
		l = tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{*how.certificate},
			MinVersion: tls.VersionTLS12})
	}
	log := slog.New(slog.NewTextHandler(a.err, &slog.HandlerOptions{Level: slog.LevelWarn}))
	h := web.New(s.Shop, web.Options{Log: log, User: user(""), Head: s.store.Head, TLS: how.certificate != nil})
	go func() {
		if err := s.People.Warm(a.ctx); err != nil && a.ctx.Err() == nil {
			log.Warn("reading ahead failed", "error", err)
		}
	}()
	fmt.Fprintf(a.out, "listening on %s\n", url)
	for _, other := range reachable(l.Addr(), how.certificate != nil) {
		fmt.Fprintf(a.err, "from other machines: %s\n", other)
	}
	if how.open && a.live {
		openBrowser(url)
	}
	go func() { _, _, _ = s.BooksSoon(a.ctx, 0) }() // so that the first look at the ledger does not wait
	err = web.Serve(a.ctx, l, h)
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}

// mayServe refuses to show a shop without people to other machines.
func (a *app) mayServe(s *opened, how serving) error {
	host, _, err := net.SplitHostPort(how.addr)
	if err != nil {
		return wrong("address %q: %v; want one such as 127.0.0.1:8686", how.addr, err)
	}
	if ip := net.ParseIP(host); host == "localhost" || (ip != nil && ip.IsLoopback()) || how.gated {
		return nil
	}
	people, err := s.People.Staff(a.ctx)
	if err != nil {
		return err
	}
	if len(people) == 0 {
		return wrong("%s can be reached from other machines and nobody has to sign in: add people with 'midcase people add NAME', or say --gated where something in front of the shop asks who is there", how.addr)
	}
	if how.certificate == nil {
		fmt.Fprintln(a.err, "warning: without TLS, passwords can be read on the way; use --tls, --tls-cert, or something in front of the shop that has a certificate")
	}
	return nil
}

// reachable lists the addresses of this machine in its networks, where the server
// listens on all of them.
func reachable(at net.Addr, secure bool) []string {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return nil
	}
	scheme := "http"
	if secure {
		scheme = "https"
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil // they are only shown
	}
	var out []string
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() {
			out = append(out, fmt.Sprintf("%s://%s:%d", scheme, n.IP, tcp.Port))
		}
	}
	return out
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
