package cli

import (
	"crypto/rand"
	"crypto/x509"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"midcase/internal/web/doors"
)

// loopback reports whether only this machine can reach the address.
func (how serving) loopback() bool {
	host, _, err := net.SplitHostPort(how.addr)
	ip := net.ParseIP(host)
	return err == nil && (host == "localhost" || (ip != nil && ip.IsLoopback()))
}

// listening is the address of a listener, as it is printed.
func (how serving) listening(at net.Addr) string { return how.scheme() + "://" + at.String() }

func (how serving) scheme() string {
	if how.certificate != nil {
		return "https"
	}
	return "http"
}

// secure reports whether browsers reach the shop over TLS: its own, or that of something in front.
func (how serving) secure() bool {
	if how.certificate != nil {
		return true
	}
	return how.gated && (len(how.hosts) == 0 || !strings.HasPrefix(how.hosts[0], "http://"))
}

// address is where others find the shop: under the first name given, else where it listens. A name
// without scheme and port gets those that browsers use.
func (how serving) address(at net.Addr) string {
	if len(how.hosts) == 0 {
		if others := how.reachable(at); len(others) > 0 {
			return others[0]
		}
		return how.listening(at)
	}
	host := how.hosts[0]
	if strings.Contains(host, "://") {
		return strings.TrimSuffix(host, "/")
	}
	scheme := "http"
	if how.secure() {
		scheme = "https"
	}
	if _, _, err := net.SplitHostPort(host); err != nil && !how.gated {
		if tcp, ok := at.(*net.TCPAddr); ok {
			host = net.JoinHostPort(host, strconv.Itoa(tcp.Port))
		}
	}
	return scheme + "://" + host
}

// names are the hosts that browsers may ask for.
func (how serving) names() doors.Hosts {
	var out doors.Hosts
	for _, h := range how.hosts {
		if u, err := url.Parse(h); err == nil && u.Host != "" {
			h = u.Host
		}
		out.Names = append(out.Names, h)
	}
	if how.certificate != nil {
		out.Certificate = how.certificate.Leaf
	}
	if out.Certificate == nil && how.certificate != nil && len(how.certificate.Certificate) > 0 {
		out.Certificate, _ = x509.ParseCertificate(how.certificate.Certificate[0]) // it was read before
	}
	return out
}

// deskKeyFile is the secret by which browsers at the desk stay known where nobody signs in. Without the
// file all of them have to open the printed address again.
const deskKeyFile = "desk.key"

// deskSecret reads the secret, making it where there is none.
func deskSecret(dir string) (string, error) {
	path := filepath.Join(dir, deskKeyFile)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		text = []byte(rand.Text() + "\n")
		if err = writeKey(path, text); errors.Is(err, fs.ErrExist) { // another process was quicker
			text, err = os.ReadFile(path)
		}
		if errors.Is(err, syscall.ENOSPC) {
			err = nil // the shop is served for reading; browsers are known until it ends
		}
	}
	if err != nil {
		return "", fmt.Errorf("key of the desk: %w", err)
	}
	secret := strings.TrimSpace(string(text))
	if len(secret) < len(rand.Text()) {
		return "", fmt.Errorf("key of the desk: %s is cut short; delete it to have a new one made", path)
	}
	return secret, nil
}

// checkHosts refuses what cannot be the name of a host.
func checkHosts(hosts []string) error {
	for _, given := range hosts {
		host, scheme := given, "http"
		if before, after, ok := strings.Cut(given, "://"); ok {
			scheme, host = before, strings.TrimSuffix(after, "/")
		}
		u, err := url.Parse("http://" + host)
		if err != nil || u.Hostname() == "" || u.Host != host || (scheme != "http" && scheme != "https") {
			return wrong("--host %q is not the name of a host; give one such as shop.example", given)
		}
	}
	return nil
}

// reachable lists the addresses of this machine in its networks, where the server
// listens on all of them.
func (how serving) reachable(at net.Addr) []string {
	tcp, ok := at.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return nil
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil // they are only shown
	}
	var out []string
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() {
			out = append(out, fmt.Sprintf("%s://%s:%d", how.scheme(), n.IP, tcp.Port))
		}
	}
	return out
}
