package cli

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// certificateLife is how long a certificate of the shop's own is good for; a new one is
// made in its last month.
const certificateLife = 397 * 24 * time.Hour

// ownCertificate is the certificate that the shop made for itself, kept in a folder. It
// is made where there is none, or where it is about to end.
func ownCertificate(dir string, now time.Time) (*tls.Certificate, error) {
	certFile, keyFile := filepath.Join(dir, "certificate.pem"), filepath.Join(dir, "key.pem")
	pair, err := tls.LoadX509KeyPair(certFile, keyFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, fmt.Errorf("certificate in %s: %w; delete the folder to have a new one made", dir, err)
	case now.Add(30 * 24 * time.Hour).Before(pair.Leaf.NotAfter):
		return &pair, nil
	}
	cert, key, err := makeCertificate(now)
	if err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	if err := errors.Join(os.WriteFile(keyFile, key, 0o600), os.WriteFile(certFile, cert, 0o600)); err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	pair, err = tls.X509KeyPair(cert, key)
	if err != nil {
		return nil, fmt.Errorf("make a certificate: %w", err)
	}
	return &pair, nil
}

// makeCertificate makes a self-signed certificate for the names and addresses of this
// machine, both as PEM.
func makeCertificate(now time.Time) (cert, key []byte, err error) {
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, nil, err
	}
	serial, err := rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 120))
	if err != nil {
		return nil, nil, err
	}
	template := x509.Certificate{
		SerialNumber: serial, Subject: pkix.Name{CommonName: "Midcase"},
		NotBefore: now.Add(-time.Hour), NotAfter: now.Add(certificateLife),
		KeyUsage: x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		BasicConstraintsValid: true, DNSNames: []string{"localhost"},
	}
	if host, err := os.Hostname(); err == nil && host != "localhost" {
		template.DNSNames = append(template.DNSNames, host, host+".local")
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return nil, nil, err
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok {
			template.IPAddresses = append(template.IPAddresses, n.IP)
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, &template, &template, &private.PublicKey, private)
	if err != nil {
		return nil, nil, err
	}
	b, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		return nil, nil, err
	}
	return pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE",
		Bytes: der}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: b}), nil
}

// fingerprint is the SHA-256 of a certificate as browsers show it.
func fingerprint(c *tls.Certificate) string {
	sum := sha256.Sum256(c.Certificate[0])
	return strings.ReplaceAll(fmt.Sprintf("% X", sum), " ", ":")
}
