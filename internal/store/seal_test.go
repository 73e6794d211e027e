package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/storetest"
)

var testKey = bytes.Repeat([]byte{7}, ClientKeyBytes)

func withKey(t *testing.T, s *Store) *Store {
	t.Helper()
	if err := s.UseClientKey(testKey); err != nil {
		t.Fatal(err)
	}
	return s
}

// What holds of clients holds of clients kept sealed.
func TestConformanceSealed(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		storetest.RunClients(t, func(t *testing.T) storetest.Stores { return withKey(t, open(t)) })
	})
}

// secret is a text that no file of the database may hold.
const secret = "Quillfeather"

func TestClientsSealed(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := withKey(t, open(t))
		for _, id := range []string{"c_1", "c_2"} {
			if _, err := s.CreateClient(ctx, shop.Client{ID: id, Name: secret + " " + id,
				Wants: []shop.Want{{Note: secret}}}); err != nil {
				t.Fatal(err)
			}
		}
		for _, table := range []string{"SELECT doc FROM clients", "SELECT doc_after FROM history",
			"SELECT name_key FROM clients", "SELECT wrapped FROM client_keys"} {
			rows, err := s.read.QueryContext(ctx, table)
			if err != nil {
				t.Fatal(err)
			}
			for rows.Next() {
				var text string
				if err := rows.Scan(&text); err != nil || strings.Contains(strings.ToLower(text),
					strings.ToLower(secret)) {
					t.Errorf("%s: %q, %v", table, text, err)
				}
			}
			rows.Close()
		}
		changes, err := s.History(ctx, SubjectClient, "c_1")
		if err != nil || len(changes) != 1 || !strings.Contains(string(changes[0].After), secret) {
			t.Errorf("history with the key: %+v, %v", changes, err)
		}

		// Another key, and a record put in another's place, are found out.
		if err := s.UseClientKey(bytes.Repeat([]byte{8}, ClientKeyBytes)); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Client(ctx, "c_1"); !errors.Is(err, ErrClientKey) {
			t.Errorf("another key: %v", err)
		}
		s.clientKey = nil
		if _, err := s.Clients(ctx); !errors.Is(err, ErrClientKey) {
			t.Errorf("no key: %v", err)
		}
		withKey(t, s)
		if _, err := s.write.ExecContext(ctx, `UPDATE clients SET doc = (SELECT doc FROM clients WHERE id = 'c_2') WHERE id = 'c_1'`); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Client(ctx, "c_1"); err == nil {
			t.Error("another client's record was read")
		}
		if err := s.UseClientKey(testKey[:5]); err == nil {
			t.Error("a short key was taken")
		}
	})
}

func TestEraseClient(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := withKey(t, open(t))
		c, err := s.CreateClient(ctx, shop.Client{ID: "c_1", Name: secret, Created: day})
		if err != nil {
			t.Fatal(err)
		}
		c.Note = secret
		if c, err = s.UpdateClient(ctx, c); err != nil {
			t.Fatal(err)
		}
		if _, err := s.EraseClient(ctx, shop.Client{ID: "c_1", Erased: day, Version: 1}); !errors.Is(err,
			shop.ErrConflict) {
			t.Errorf("stale version: %v", err)
		}
		if _, err := s.EraseClient(ctx, shop.Client{ID: "c_1", Erased: day, Version: c.Version}); err != nil {
			t.Fatal(err)
		}
		look := func() {
			t.Helper()
			c, err := s.Client(ctx, "c_1")
			if err != nil || c.Name != "" || c.Note != "" || c.Erased.IsZero() || c.Version != 3 {
				t.Errorf("after the erasure: %+v, %v", c, err)
			}
		}
		look()
		changes, err := s.History(ctx, SubjectClient, "c_1")
		if err != nil || len(changes) != 3 {
			t.Fatalf("history: %d changes, %v", len(changes), err)
		}
		for _, x := range changes {
			if strings.Contains(string(x.Before)+string(x.After), secret) {
				t.Errorf("the history still tells: %s", x.After)
			}
		}
		if err := s.Rebuild(ctx); err != nil {
			t.Fatal(err)
		}
		look()
		if sealed, err := s.HasSealed(ctx); sealed || err != nil {
			t.Errorf("a key is left: %v, %v", sealed, err)
		}
	})
}

// A client of whom plain text was kept cannot be erased, and is told so.
func TestErasePlainRefused(t *testing.T) {
	t.Parallel()
	s := openSQLite(t)
	if _, err := s.CreateClient(t.Context(), shop.Client{ID: "c_1", Name: secret}); err != nil {
		t.Fatal(err)
	}
	withKey(t, s)
	c, err := s.Client(t.Context(), "c_1") // plain records stay readable
	if err != nil || c.Name != secret {
		t.Fatal(c, err)
	}
	if _, err := s.EraseClient(t.Context(), shop.Client{ID: "c_1", Erased: day, Version: 1}); err == nil ||
		!strings.Contains(err.Error(), "without encryption") {
		t.Errorf("error %v; want it to say why", err)
	}
}

// No file of an SQLite store holds a client's name, nor, after the erasure, the key.
func TestFilesHoldNoNames(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s, err := Open(t.Context(), filepath.Join(dir, "shop.db"), WithClientKey(testKey))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.CreateClient(t.Context(), shop.Client{ID: "c_1", Name: secret}); err != nil {
		t.Fatal(err)
	}
	var wrapped string
	if err := s.read.QueryRow(`SELECT wrapped FROM client_keys`).Scan(&wrapped); err != nil {
		t.Fatal(err)
	}
	holds := func(text string) bool {
		t.Helper()
		files, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			b, err := os.ReadFile(filepath.Join(dir, f.Name()))
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(b, []byte(text)) {
				return true
			}
		}
		return false
	}
	if holds(secret) || !holds(wrapped) {
		t.Error("want no name and one wrapped key in the files")
	}
	if _, err := s.EraseClient(t.Context(), shop.Client{ID: "c_1", Erased: day, Version: 1}); err != nil {
		t.Fatal(err)
	}
	if holds(wrapped) {
		t.Error("the key of an erased client is still in the files")
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
}

func TestStepsAppendOnly(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		if err := s.LogAccess(ctx, shop.Access{By: "Ada", What: "seen"}); err != nil {
			t.Fatal(err)
		}
		fillSteps(t, s)
		for _, table := range []string{"movements", "entries", "entry_subjects", "showings", "client_access"} {
			for _, statement := range []string{"DELETE FROM " + table, "UPDATE " + table + " SET seq = seq + 10"} {
				if _, err := s.write.ExecContext(ctx, statement); err == nil ||
					!strings.Contains(err.Error(), "append-only") {
					t.Errorf("%s: %v; want it refused", statement, err)
				}
			}
		}
		if _, err := s.write.ExecContext(ctx, `INSERT INTO entries (seq, id, day, reverses, doc, hash) VALUES (9, 'x', '', '', '{}', '')`); err == nil {
			t.Error("an entry went in beyond the end")
		}
		if err := s.VerifyLedger(ctx); err != nil {
			t.Fatal(err)
		}
		// Past the triggers, what was changed is named.
		drop := map[string]string{"sqlite": `DROP TRIGGER entries_update`, "postgres": `ALTER TABLE entries DISABLE TRIGGER entries_change`}[s.dialect.name]
		for _, statement := range []string{drop, `UPDATE entries SET doc = REPLACE(doc, '100.10', '100.20') WHERE seq = 1`} {
			if _, err := s.write.ExecContext(ctx, statement); err != nil {
				t.Fatal(err)
			}
		}
		if err := s.VerifyLedger(ctx); !errors.Is(err, ErrLedgerDamaged) ||
			!strings.Contains(err.Error(), "entry 1 was changed") {
			t.Errorf("error %v; want entry 1 named", err)
		}
	})
}
