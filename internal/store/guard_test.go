package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"midcase/internal/shop"
)

// The file under a running program is deleted, or another is put in its place: the next change is refused.
func TestAReplacedFileIsNoticed(t *testing.T) {
	t.Parallel()
	for _, test := range []struct {
		name    string
		replace func(path string) error
	}{
		{"deleted", os.Remove},
		{"moved away", func(path string) error { return os.Rename(path, path+".away") }},
		{"another in its place", func(path string) error {
			if err := copyFile(path, path+".other"); err != nil {
				return err
			}
			return os.Rename(path+".other", path)
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "shop.db")
			s := openURL(t, path)
			fill(t, s, 3)
			if err := test.replace(path); err != nil {
				t.Fatal(err)
			}
			if err := s.Append(t.Context(), "w_0", item("ev_later")); !errors.Is(err, ErrReplaced) {
				t.Errorf("%v; want it refused", err)
			}
			if err := s.SetSetting(t.Context(), "basis", "trade"); !errors.Is(err, ErrReplaced) {
				t.Errorf("a setting: %v; want it refused", err)
			}
		})
	}
}

// Another program has written a log of its own into the database meanwhile, as one on a copy would that was put
// back: nothing is appended to it.
func TestALogThatWentAnotherWayIsRefused(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		s := open(t)
		fill(t, s, 6)
		tamper(t, s, `UPDATE log_hashes SET hash = (SELECT hash FROM log_hashes WHERE n = 0)`)
		if err := s.Append(t.Context(), "w_0", item("ev_later")); !errors.Is(err, ErrLogDamaged) {
			t.Errorf("%v; want it refused", err)
		}
		if _, err := s.Evidence(t.Context(), "w_0"); err != nil {
			t.Errorf("reading: %v", err)
		}
	})
}

// Two programs on one database do not get in each other's way.
func TestTwoProgramsAppendInTurn(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		a := open(t)
		fill(t, a, 3)
		b := openURL(t, a.url)
		for i := range 10 {
			for _, s := range []*Store{a, b} {
				if err := s.Append(t.Context(), "w_0", item(fmt.Sprintf("ev_%p_%d", s, i))); err != nil {
					t.Fatal(err)
				}
			}
		}
		if err := a.Verify(t.Context()); err != nil {
			t.Error(err)
		}
	})
}

// On a full disk reading goes on, and writing says that the disk is full and records nothing.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openSQLite(t)
	fill(t, s, 3)
	var pages int
	if err := s.write.QueryRowContext(ctx, `PRAGMA page_count`).Scan(&pages); err != nil {
		t.Fatal(err)
	}
	if _, err := s.write.ExecContext(ctx, fmt.Sprintf(`PRAGMA max_page_count = %d`, pages)); err != nil {
		t.Fatal(err)
	}
	var err error
	recorded := 3
	for i := 0; err == nil && i < 2000; i++ {
		if err = s.Append(ctx, "w_0", item(fmt.Sprintf("ev_more_%d", i))); err == nil {
			recorded++
		}
	}
	if !errors.Is(err, shop.ErrDiskFull) {
		t.Fatalf("%v; want it to say that the disk is full", err)
	}
	if n, _, err := s.Head(ctx); err != nil || n != int64(recorded) {
		t.Errorf("the log has %d records, %v; want %d", n, err, recorded)
	}
	if _, err := s.Evidence(ctx, "w_0"); err != nil {
		t.Errorf("reading: %v", err)
	}
}

// A shop that is opened on a full disk is read, with what stands in its write-ahead log; nothing is recorded.
func TestOpenedOnAFullDisk(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	database, wal := killed(t)
	whole := openURL(t, lay(t, database, wal))
	want, _, err := whole.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for name, path := range map[string]string{"after a kill": lay(t, database, wal), "in order": whole.url} {
		if path == whole.url {
			if err := whole.Close(); err != nil {
				t.Fatal(err)
			}
		}
		s, err := openFull(ctx, path, nil)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got, _, err := s.Head(ctx); err != nil || got != want {
			t.Errorf("%s: %d items, %v; want %d", name, got, err, want)
		}
		if err := s.Append(ctx, "w_0", item("ev_later")); !errors.Is(err, shop.ErrDiskFull) || !Full(s) {
			t.Errorf("%s: recorded: %v, full %t", name, err, Full(s))
		}
		if _, err := s.Check(ctx); err != nil {
			t.Errorf("%s: check: %v", name, err)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// Without the key of the client data, stock and ledger stay open; a client is shown as one who cannot be read, and
// nothing is written about clients, least of all in plain text.
func TestLostClientKey(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		ctx := t.Context()
		s := open(t)
		checked(t, s)
		other := openURL(t, s.url)
		other.LoseClientKey()
		all, err := other.Clients(ctx)
		if err != nil || len(all) != 2 || all[0].Name != Unreadable || all[1].Name != Unreadable {
			t.Errorf("%v, %v; want two clients who cannot be read", all, err)
		}
		if c, err := other.Client(ctx, "cl_1"); err != nil || c.Name != Unreadable {
			t.Errorf("%v, %v", c, err)
		} else if _, err := other.UpdateClient(ctx, c); !errors.Is(err, ErrClientKey) {
			t.Errorf("changed: %v; want it refused", err)
		}
		if _, err := other.CreateClient(ctx, shop.Client{ID: "cl_2", Name: "Ben"}); !errors.Is(err, ErrClientKey) {
			t.Errorf("added: %v; want it refused", err)
		}
		if _, err := other.Watches(ctx, shop.Filter{}); err != nil {
			t.Error(err)
		}
		if err := other.VerifyLedger(ctx); err != nil {
			t.Error(err)
		}
	})
}
