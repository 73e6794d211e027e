package cli

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"midcase/internal/store"
)

// Where the key of the client data comes from.
const (
	clientKeyVariable = "MIDCASE_CLIENT_KEY" // 64 hexadecimal digits
	clientKeyFile     = "client.key"         // in the shop's folder, the same
	nextKeyFile       = "client.key.next"    // there while a key takes the place of another
)

// errKeyLost means that client data are encrypted and their key is not there. Stock and ledger stay open.
var errKeyLost = errors.New("client data cannot be read or changed without it")

// useClientKey gives the store the key of its client data: from the environment, else from
// the key file. A new shop gets a key file; a shop whose data are sealed does not, since
// another key would not open them.
func useClientKey(ctx context.Context, st *store.Store, dir string, warn io.Writer) error {
	text, from := os.Getenv(clientKeyVariable), clientKeyVariable
	if text == "" {
		from = filepath.Join(dir, clientKeyFile)
		if err := finishRotation(ctx, st, dir); err != nil {
			return fmt.Errorf("key of the client data: %w", err)
		}
		b, err := os.ReadFile(from)
		if errors.Is(err, fs.ErrNotExist) {
			b, err = newClientKey(ctx, st, from)
		}
		if errors.Is(err, errKeyLost) {
			st.LoseClientKey()
			fmt.Fprintf(warn, "warning: %v\n", err)
			return nil
		}
		if err != nil {
			return fmt.Errorf("key of the client data: %w", err)
		}
		text = string(b)
	}
	key, err := readKey(from, text)
	if err != nil {
		return fmt.Errorf("key of the client data: %w", err)
	}
	return st.UseClientKey(key)
}

func readKey(from, text string) ([]byte, error) {
	key, err := hex.DecodeString(strings.TrimSpace(text))
	if err != nil || len(key) != store.ClientKeyBytes {
		return nil, fmt.Errorf("%s: want %d hexadecimal digits", from, 2*store.ClientKeyBytes)
	}
	return key, nil
}

func newClientKey(ctx context.Context, st *store.Store, path string) ([]byte, error) {
	sealed, err := st.HasSealed(ctx)
	if err != nil {
		return nil, err
	}
	if sealed {
		return nil, fmt.Errorf("%s is missing: %w; put the file back, type it in from its recovery sheet by "+
			"'midcase clients key recover', or set %s", path, errKeyLost, clientKeyVariable)
	}
	_, text, err := makeKey()
	if err != nil {
		return nil, err
	}
	switch err := writeKey(path, text); {
	case errors.Is(err, fs.ErrExist): // another process was quicker
		return os.ReadFile(path)
	case err != nil:
		return nil, err
	}
	return text, nil
}

// makeKey makes a key, and the text of its file.
func makeKey() (key, text []byte, err error) {
	key = make([]byte, store.ClientKeyBytes)
	if _, err := rand.Read(key); err != nil {
		return nil, nil, err
	}
	return key, []byte(hex.EncodeToString(key) + "\n"), nil
}

// writeKey writes a key file that is not there yet, down to the disk: whole or not at all.
func writeKey(path string, text []byte) error {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, ".key-*") // readable by its owner alone
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(text)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	if err := os.Link(f.Name(), path); err != nil { // errs where the name is taken
		return err
	}
	return syncFolder(dir)
}

// syncFolder puts the names of a folder's files down to the disk, where the system can.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !errors.Is(err, syscall.EINVAL) {
		return err
	}
	return nil
}

// finishRotation deals with a rotation that was cut short: where the data keys are
// encrypted under the new key already, its file takes the place of the old one. A new key
// that was not used yet stays where it is, since a rotation may be under way.
func finishRotation(ctx context.Context, st *store.Store, dir string) error {
	next := filepath.Join(dir, nextKeyFile)
	text, err := os.ReadFile(next)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	key, err := readKey(next, string(text))
	if err != nil {
		return err
	}
	used, err := st.HasSealed(ctx)
	if err == nil && used {
		used, err = st.OpensClients(ctx, key)
	}
	if err != nil || !used {
		return err
	}
	return takePlace(dir, text)
}

// takePlace puts the new key's file in the place of the old one.
func takePlace(dir string, text []byte) error {
	path := filepath.Join(dir, clientKeyFile)
	if err := os.Rename(filepath.Join(dir, nextKeyFile), path); err != nil {
		if now, readErr := os.ReadFile(path); readErr == nil && string(now) == string(text) {
			return nil // another process was quicker
		}
		return err
	}
	return syncFolder(dir)
}

// nextKey is the new key of a rotation, on the disk before it is used. One that was left
// by a rotation cut short is taken again.
func nextKey(dir string) (key, text []byte, err error) {
	next := filepath.Join(dir, nextKeyFile)
	if text, err = os.ReadFile(next); err == nil {
		key, err = readKey(next, string(text))
		return key, text, err
	}
	if key, text, err = makeKey(); err != nil {
		return nil, nil, err
	}
	return key, text, writeKey(next, text)
}

// rotateKey puts a new key in the place of the shop's. At each moment one of the files
// that are there opens the data.
func rotateKey(ctx context.Context, st *store.Store, dir string) (clients int, err error) {
	key, text, err := nextKey(dir)
	if err != nil {
		return 0, err
	}
	if clients, err = st.RotateClientKey(ctx, key); err != nil {
		return 0, err
	}
	return clients, takePlace(dir, text)
}
