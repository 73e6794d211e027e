package store

import (
	"bytes"
	"errors"
	"testing"

	"midcase/internal/shop"
)

var otherKey = bytes.Repeat([]byte{9}, ClientKeyBytes)

func TestRotateClientKey(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := withKey(t, open(t))
		for _, id := range []string{"c_1", "c_2", "c_3"} {
			if _, err := s.CreateClient(ctx, shop.Client{ID: id, Name: secret + " " + id}); err != nil {
				t.Fatal(err)
			}
		}
		old := *s // another process with the old key
		if n, err := s.RotateClientKey(ctx, otherKey); n != 3 || err != nil {
			t.Fatal(n, err)
		}
		all, err := s.Clients(ctx)
		if err != nil || len(all) != 3 || all[0].Name != secret+" c_1" {
			t.Fatalf("with the new key: %+v, %v", all, err)
		}
		changes, err := s.History(ctx, SubjectClient, "c_2")
		if err != nil || len(changes) != 1 || !bytes.Contains(changes[0].After, []byte(secret)) {
			t.Errorf("history with the new key: %+v, %v", changes, err)
		}
		if _, err := old.Client(ctx, "c_1"); !errors.Is(err, ErrClientKey) {
			t.Errorf("read with the old key: %v", err)
		}
		// What does not know of the new key writes nothing that the new key cannot open.
		if _, err := old.CreateClient(ctx, shop.Client{ID: "c_4", Name: secret}); !errors.Is(err, ErrClientKey) {
			t.Errorf("added with the old key: %v", err)
		}
		for key, want := range map[string]bool{string(testKey): false, string(otherKey): true} {
			if opens, err := s.OpensClients(ctx, []byte(key)); opens != want || err != nil {
				t.Errorf("opens %v, %v; want %v", opens, err, want)
			}
		}
		if _, err := old.RotateClientKey(ctx, testKey); !errors.Is(err, ErrClientKey) {
			t.Errorf("rotated from a stale key: %v", err)
		}
		if all, err = s.Clients(ctx); err != nil || len(all) != 3 {
			t.Errorf("after the refusals: %d clients, %v", len(all), err)
		}
	})
}

// A rotation that fails at the last client changes none.
func TestRotateAllOrNone(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := withKey(t, open(t))
		for _, id := range []string{"c_1", "c_2"} {
			if _, err := s.CreateClient(ctx, shop.Client{ID: id, Name: secret}); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := s.write.ExecContext(ctx, `UPDATE client_keys SET wrapped = 'AAAA' WHERE id = 'c_2'`); err != nil {
			t.Fatal(err)
		}
		if _, err := s.RotateClientKey(ctx, otherKey); err == nil {
			t.Fatal("a damaged data key was taken")
		}
		if c, err := s.Client(ctx, "c_1"); err != nil || c.Name != secret {
			t.Errorf("with the old key: %+v, %v", c, err)
		}
	})
}
