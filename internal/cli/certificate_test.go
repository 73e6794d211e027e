package cli

import (
	"crypto/x509"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestOwnCertificateIsKeptUntilItsLastMonth(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "tls")
	now := time.Date(2026, 11, 1, 9, 0, 0, 0, time.UTC)
	first, err := ownCertificate(dir, now)
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := x509.ParseCertificate(first.Certificate[0])
	if err != nil {
		t.Fatal(err)
	}
	if err := leaf.VerifyHostname("127.0.0.1"); err != nil {
		t.Error(err)
	}
	if err := leaf.VerifyHostname("localhost"); err != nil {
		t.Error(err)
	}
	again, err := ownCertificate(dir, now.AddDate(0, 6, 0))
	if err != nil || fingerprint(again) != fingerprint(first) {
		t.Errorf("half a year later: %v, another certificate", err)
	}
	renewed, err := ownCertificate(dir, now.AddDate(0, 12, 20))
	if err != nil || fingerprint(renewed) == fingerprint(first) {
		t.Errorf("in its last month: %v, the same certificate", err)
	}
	if info, err := os.Stat(filepath.Join(dir, "key.pem")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("key: %v, %v", info.Mode(), err)
	}
}
