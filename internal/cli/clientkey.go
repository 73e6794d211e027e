package cli

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"midcase/internal/store"
)

// Where the key of the client data comes from.
const (
	clientKeyVariable = "MIDCASE_CLIENT_KEY" // 64 hexadecimal digits
	clientKeyFile     = "client.key"         // in the shop's folder, the same
)

// useClientKey gives the store the key of its client data: from the environment, else from
// the key file. A new shop gets a key file; a shop whose data are sealed does not, since
// another key would not open them.
func useClientKey(ctx context.Context, st *store.Store, dir string) error {
	text, from := os.Getenv(clientKeyVariable), clientKeyVariable
	if text == "" {
		from = filepath.Join(dir, clientKeyFile)
		b, err := os.ReadFile(from)
		if errors.Is(err, fs.ErrNotExist) {
			b, err = newClientKey(ctx, st, from)
		}
		if err != nil {
			return fmt.Errorf("key of the client data: %w", err)
		}
		text = string(b)
	}
	key, err := hex.DecodeString(strings.TrimSpace(text))
	if err != nil || len(key) != store.ClientKeyBytes {
		return fmt.Errorf("key of the client data: %s: want %d hexadecimal digits", from, 2*store.ClientKeyBytes)
	}
	return st.UseClientKey(key)
}

func newClientKey(ctx context.Context, st *store.Store, path string) ([]byte, error) {
	sealed, err := st.HasSealed(ctx)
	if err != nil {
		return nil, err
	}
	if sealed {
		return nil, fmt.Errorf("%s is not there, and the shop's client data are encrypted: put the key file back, or set %s", path, clientKeyVariable)
	}
	key := make([]byte, store.ClientKeyBytes)
	if _, err := rand.Read(key); err != nil {
		return nil, err
	}
	text := []byte(hex.EncodeToString(key) + "\n")
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) { // another process was quicker
		return os.ReadFile(path)
	}
	if err != nil {
		return nil, err
	}
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return nil, errors.Join(err, os.Remove(path))
	}
	return text, nil
}
