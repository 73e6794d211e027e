package cli

import (
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/store"
)

// keyed opens the store of a shop's folder with its key, as a command does.
func keyed(t *testing.T, dir string) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), "sqlite:"+filepath.Join(dir, storeFile))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	if err := useClientKey(t.Context(), st, dir, io.Discard); err != nil {
		t.Fatal(err)
	}
	return st
}

func wantClient(t *testing.T, dir string) {
	t.Helper()
	st := keyed(t, dir)
	if c, err := st.Client(t.Context(), "c_1"); err != nil || c.Name != "Selma Lund" {
		t.Errorf("found %+v, %v; want Selma Lund", c, err)
	}
}

// TestRotationCutShort: wherever a rotation is killed, the next command opens the data,
// and another rotation goes through.
func TestRotationCutShort(t *testing.T) {
	t.Setenv(clientKeyVariable, "")
	ctx := context.Background()
	for name, kill := range map[string]func(t *testing.T, st *store.Store, dir string){
		"before the new key is used": func(t *testing.T, _ *store.Store, dir string) {
			if _, _, err := nextKey(dir); err != nil {
				t.Fatal(err)
			}
		},
		"before the files change places": func(t *testing.T, st *store.Store, dir string) {
			key, _, err := nextKey(dir)
			if err != nil {
				t.Fatal(err)
			}
			if n, err := st.RotateClientKey(ctx, key); n != 1 || err != nil {
				t.Fatal(n, err)
			}
		},
		"nowhere": func(t *testing.T, st *store.Store, dir string) {
			if n, err := rotateKey(ctx, st, dir); n != 1 || err != nil {
				t.Fatal(n, err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			st := keyed(t, dir)
			if _, err := st.CreateClient(ctx, shop.Client{ID: "c_1", Name: "Selma Lund"}); err != nil {
				t.Fatal(err)
			}
			first, err := os.ReadFile(filepath.Join(dir, clientKeyFile))
			if err != nil {
				t.Fatal(err)
			}
			kill(t, st, dir)
			wantClient(t, dir)
			if n, err := rotateKey(ctx, keyed(t, dir), dir); n != 1 || err != nil {
				t.Fatalf("rotation after it: %d, %v", n, err)
			}
			wantClient(t, dir)
			now, err := os.ReadFile(filepath.Join(dir, clientKeyFile))
			if err != nil || string(now) == string(first) {
				t.Errorf("the key file holds the first key still; %v", err)
			}
			if _, err := os.Stat(filepath.Join(dir, nextKeyFile)); !errors.Is(err, os.ErrNotExist) {
				t.Errorf("%s is left: %v", nextKeyFile, err)
			}
			if info, err := os.Stat(filepath.Join(dir, clientKeyFile)); err != nil || info.Mode().Perm() != 0o600 {
				t.Errorf("key file: %v, %v; want it readable by its owner alone", info.Mode(), err)
			}
		})
	}
}

// A command that opens the shop while a rotation is under way leaves its new key alone.
func TestOpeningInTheMiddleOfARotation(t *testing.T) {
	t.Setenv(clientKeyVariable, "")
	dir := t.TempDir()
	st := keyed(t, dir)
	if _, err := st.CreateClient(t.Context(), shop.Client{ID: "c_1", Name: "Selma Lund"}); err != nil {
		t.Fatal(err)
	}
	key, text, err := nextKey(dir)
	if err != nil {
		t.Fatal(err)
	}
	wantClient(t, dir)
	if _, err := st.RotateClientKey(t.Context(), key); err != nil {
		t.Fatal(err)
	}
	wantClient(t, dir)                           // puts the file in its place
	if err := takePlace(dir, text); err != nil { // and the rotation finds it there
		t.Error(err)
	}
	wantClient(t, dir)
}
