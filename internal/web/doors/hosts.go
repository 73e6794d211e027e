package doors

import (
	"crypto/x509"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// Hosts are the names under which the shop may be asked for, beside this machine's own.
type Hosts struct {
	Names       []string          // such as shop.example; without port
	Certificate *x509.Certificate // whose names count too; nil for none
}

// Handler answers 421 to a request for a host that is not the shop's. A page of another site can have
// its own name point at this machine; the browser then sends that name, and it is not one of ours.
func (h Hosts) Handler(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := hostOf(r.Host)
		local, _ := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
		if h.has(host, local) {
			next.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Cache-Control", "no-store")
		says := fmt.Sprintf("This shop is not served under the name %.100q. "+
			"If it should be, start it with --host and that name.", host)
		http.Error(w, says, http.StatusMisdirectedRequest)
	})
}

// has reports whether a host is this machine's loopback, the address that the request came in at, a
// name of the certificate or one of the names given.
func (h Hosts) has(host string, local net.Addr) bool {
	if host == "localhost" {
		return true
	}
	if ip, err := netip.ParseAddr(host); err == nil {
		if ip = ip.Unmap(); ip.IsLoopback() || ip == addressOf(local) {
			return true
		}
	}
	if slices.ContainsFunc(h.Names, func(n string) bool { return hostOf(n) == host }) {
		return true
	}
	return h.Certificate != nil && host != "" && h.Certificate.VerifyHostname(host) == nil
}

// hostOf is the name or address in a Host header, in one form: without port, brackets, zone and a last
// dot, in small letters.
func hostOf(header string) string {
	host := header
	if h, _, err := net.SplitHostPort(header); err == nil {
		host = h
	}
	host = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
	return strings.ToLower(strings.TrimSuffix(host, "."))
}

// addressOf is the IP address of a listener or peer; the zero address where it has none.
func addressOf(a net.Addr) netip.Addr {
	if a == nil {
		return netip.Addr{}
	}
	at, err := netip.ParseAddrPort(a.String())
	if err != nil {
		return netip.Addr{}
	}
	return at.Addr().Unmap().WithZone("")
}
