package cli

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"midcase/internal/proof"
)

// logKeyFile, in the shop's folder, is the key that signs heads of the log and papers.
const logKeyFile = "log.key"

// useLogKey reads the key, and makes it for a shop that has none.
func useLogKey(dir string) (*proof.Key, error) {
	path := filepath.Join(dir, logKeyFile)
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		text, err = newLogKey(path)
	}
	if err != nil {
		return nil, fmt.Errorf("key for signing: %w", err)
	}
	k, err := proof.ReadKey(string(text))
	if err != nil {
		return nil, fmt.Errorf("key for signing: %s: %w", path, err)
	}
	return &k, nil
}

func newLogKey(path string) ([]byte, error) {
	_, secret, err := proof.NewKey()
	if err != nil {
		return nil, err
	}
	switch err := writeKey(path, []byte(secret+"\n")); {
	case errors.Is(err, fs.ErrExist): // another process was quicker
		return os.ReadFile(path)
	case err != nil:
		return nil, err
	}
	return []byte(secret), nil
}

type logKeyCmd struct{}

// Run prints the public key.
func (logKeyCmd) Run(a *app) error {
	s, err := a.open(false)
	if err != nil {
		return err
	}
	defer s.close()
	_, err = fmt.Fprintln(a.out, s.Signs.Public())
	return err
}

// publicKey reads a public key given as text, or as a file that holds it.
func publicKey(given string) (string, error) {
	if given == "" || strings.Count(given, "+") >= 2 && !exists(given) {
		return given, nil
	}
	b, err := os.ReadFile(given)
	return strings.TrimSpace(string(b)), err
}
