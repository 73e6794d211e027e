package cli

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"path/filepath"
	"time"

	"midcase/internal/backup"
	"midcase/internal/demo"
	"midcase/internal/shop/staff"
	"midcase/internal/web"
	"midcase/internal/web/doors"
)

type serveCmd struct {
	Addr    string `help:"Address to serve on." default:"127.0.0.1:8686" env:"MIDCASE_ADDR"`
	NoOpen  bool   `help:"Do not open a browser."`
	TLS     bool   `name:"tls" help:"Serve over TLS with a certificate that the shop makes for itself."`
	TLSCert string `name:"tls-cert" help:"Certificate (PEM)." type:"existingfile" placeholder:"FILE" env:"MIDCASE_TLS_CERT"`
	TLSKey  string `name:"tls-key" help:"Key of the certificate (PEM)." type:"existingfile" placeholder:"FILE" env:"MIDCASE_TLS_KEY"`
	Gated   bool   `help:"Something in front of the shop speaks TLS with the browsers." env:"MIDCASE_GATED"`

	BackupTo    string        `help:"Back the shop up to this place while serving." placeholder:"DEST" env:"MIDCASE_BACKUP_TO"`
	BackupEvery time.Duration `help:"How often." default:"24h" env:"MIDCASE_BACKUP_EVERY"`
	BackupKey   string        `help:"Encrypt these backups for this recipient of age." placeholder:"age1…" env:"MIDCASE_BACKUP_KEY"`

	Host []string `help:"Further name of the shop, such as shop.example; may be repeated." placeholder:"NAME" env:"MIDCASE_HOST"`

	StatusAddr string `help:"Address for health and metrics." placeholder:"ADDR" env:"MIDCASE_STATUS_ADDR"`
	ReadOnly   bool   `help:"Show the shop and change nothing, such as during a move." env:"MIDCASE_READ_ONLY"`
	Log        string `help:"Form of the server's own log: text or json." enum:"text,json" default:"text" env:"MIDCASE_LOG"`
}

// Help says what the flags leave open.
func (serveCmd) Help() string {
	return `The address is on the loopback interface unless you say otherwise; any other needs people who sign in
('midcase people add') or something in front that asks who is there (--gated).

A phone's camera and microphone need TLS. With --tls the browser asks once whether to trust the shop's own certificate:
compare the fingerprint.

A browser that asks for the shop by another name than this machine's own, those of the certificate and those of --host
is refused. The first --host is the shop's address for others.

Backups go to a folder or to s3://HOST/BUCKET/PREFIX. --status-addr answers /healthz, /readyz and /metrics (Prometheus)
with nothing of the shop, to anybody who asks: keep it off the open network.`
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
	how := serving{addr: c.Addr, open: !c.NoOpen, gated: c.Gated, hosts: c.Host,
		invented: exists(filepath.Join(s.dir, demoFile)), backupTo: c.BackupTo, backupKey: c.BackupKey,
		backupEvery: max(c.BackupEvery, moment), statusAddr: c.StatusAddr, readOnly: c.ReadOnly,
		logJSON: c.Log == "json"}
	if c.BackupTo != "" {
		if _, err := backup.At(c.BackupTo); err != nil {
			return misuse{err}
		}
	}
	if err := checkHosts(c.Host); err != nil {
		return err
	}
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
	backupTo    string // empty: none are made
	backupKey   string
	backupEvery time.Duration
	invented    bool             // the demo, in which nobody's data are
	hosts       []string         // further names of the shop
	certificate *tls.Certificate // nil for plain HTTP
	statusAddr  string           // empty: none
	readOnly    bool
	logJSON     bool
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
	at := l.Addr()
	if how.certificate != nil {
		l = tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{*how.certificate},
			MinVersion: tls.VersionTLS12})
	}
	log := how.log(a.err)
	opt := web.Options{Log: log, ReadOnly: how.readOnly, User: user(""), Head: s.store.Head,
		TLS: how.secure(), Address: how.address(at),
		Hosts: how.names(), Proxied: how.gated}
	url, err := a.unlock(s, how, &opt, how.listening(at))
	if err != nil {
		return err
	}
	served, err := s.Staff.Serving(a.ctx, func(err error) { log.Warn("note that the shop is served", "error", err) })
	if err != nil {
		return err
	}
	defer served()
	defer a.tend(s, how, log, &opt)()
	h, err := a.watched(s, how, log, web.New(s.Shop, opt))
	if err != nil {
		return err
	}
	go func() {
		if err := s.People.Warm(a.ctx); err != nil && a.ctx.Err() == nil {
			log.Warn("reading ahead failed", "error", err)
		}
	}()
	fmt.Fprintf(a.out, "listening on %s\n", url)
	for _, other := range how.reachable(at) {
		fmt.Fprintf(a.err, "from other machines: %s\n", other)
	}
	if how.open && a.live {
		defer openBrowser(url)()
	}
	if !how.readOnly {
		defer background(a.ctx, func(ctx context.Context) { s.Hooks.Run(ctx, log) })()
	}
	go func() { _, _, _ = s.Accounts.BooksSoon(a.ctx, 0) }() // so that the first look at the ledger does not wait
	err = web.Serve(a.ctx, l, h)
	if errors.Is(err, net.ErrClosed) {
		return nil
	}
	return err
}

// unlock says how the first browser gets in: by the key in the address, by a code where other machines
// reach a shop without people, or by signing in. It returns the address to print.
func (a *app) unlock(s *opened, how serving, opt *web.Options, url string) (string, error) {
	if how.gated {
		return url, nil
	}
	people, err := s.Staff.People(a.ctx)
	if err != nil {
		return "", err
	}
	secret, err := deskSecret(s.dir)
	if err != nil {
		return "", err
	}
	opt.Key = doors.NewKey(secret)
	_, owner := staff.Known(people, demo.Owner)
	switch {
	case how.invented && owner:
		opt.KeyAs = demo.Owner
		return opt.Key.In(url), nil
	case len(people) > 0:
		return url, nil
	case how.loopback() || how.invented:
		return opt.Key.In(url), nil
	}
	opt.FirstCode = staff.NewCode()
	fmt.Fprintf(a.err, "the first person adds themselves at %s/first with the code %s\n", opt.Address, opt.FirstCode)
	return url, nil
}

// mayServe refuses to show a shop without people to other machines.
func (a *app) mayServe(s *opened, how serving) error {
	_, _, err := net.SplitHostPort(how.addr)
	if err != nil {
		return wrong("--addr: “%s” is not an address. Give host and port, such as 127.0.0.1:8686", how.addr)
	}
	if how.loopback() || how.gated || how.invented {
		return nil
	}
	people, err := s.Staff.People(a.ctx)
	if err != nil {
		return err
	}
	if len(people) == 0 && how.certificate == nil {
		return wrong("%s can be reached from other machines and nobody has to sign in: add people with 'midcase "+
			"people add NAME', use --tls, with which the first person adds themselves by a code, or say --gated "+
			"where something in front of the shop asks who is there", how.addr)
	}
	if how.certificate == nil {
		fmt.Fprintln(a.err, "warning: without TLS, passwords can be read on the way; use --tls, --tls-cert, or "+
			"something in front of the shop that has a certificate")
	}
	return nil
}

// background runs what ends with the context; what it returns ends it and waits for it.
func background(ctx context.Context, run func(context.Context)) (end func()) {
	ctx, stop := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		run(ctx)
	}()
	return func() {
		stop()
		<-ended
	}
}
