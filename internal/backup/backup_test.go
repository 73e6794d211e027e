package backup

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"filippo.io/age"

	"midcase/evidence"
	"midcase/internal/blobs"
	"midcase/internal/shop"
	"midcase/internal/store"
)

var day = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// source is a shop with a watch, a picture and a book.
func source(t *testing.T) Source {
	t.Helper()
	ctx, dir := t.Context(), t.TempDir()
	st, err := store.Open(ctx, "sqlite:"+filepath.Join(dir, "midcase.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	folder, err := blobs.Dir(filepath.Join(dir, "blobs"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { folder.Close() })
	w := shop.Watch{ID: "w_1", Title: "Corvane KR-1", Created: day, Changed: day}
	if _, err := st.CreateWatch(ctx, w); err != nil {
		t.Fatal(err)
	}
	picture(t, folder, "a picture")
	book := filepath.Join(dir, "book", "history", "corvane.yaml")
	if err := os.MkdirAll(book, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "client.key"), []byte(strings.Repeat("ab", 32)), 0o600); err != nil {
		t.Fatal(err)
	}
	return Source{Store: st, Blobs: folder, Dir: dir, Book: filepath.Join(dir, "book"), Keys: []string{"client.key"},
		Database: "midcase.db", BlobFolder: "blobs"}
}

func picture(t *testing.T, f *blobs.Folder, text string) {
	t.Helper()
	if _, _, err := f.Put(t.Context(), strings.NewReader(text), 1<<20); err != nil {
		t.Fatal(err)
	}
}

func record(t *testing.T, s Source, n int) {
	t.Helper()
	item := evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_%d", n)), At: day, By: "Ines",
		Data: &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1}}
	if err := s.Store.Append(t.Context(), "w_1", item); err != nil {
		t.Fatal(err)
	}
}

func restoring(into string, ids ...age.Identity) Restoring {
	return Restoring{Into: into, Identities: ids, Database: "midcase.db", BlobFolder: "blobs", Book: "book",
		ClientKey: func(string) ([]byte, error) { return nil, nil }}
}

func TestBackupIsIncrementalAndRestores(t *testing.T) {
	t.Parallel()
	places(t, func(t *testing.T, p Place) {
		ctx, s := t.Context(), source(t)
		first, err := Make(ctx, s, p, Options{Now: day})
		if err != nil {
			t.Fatal(err)
		}
		record(t, s, 1)
		picture(t, s.Blobs, "another")
		second, err := Make(ctx, s, p, Options{Now: day.Add(time.Hour)})
		if err != nil {
			t.Fatal(err)
		}
		if first.NewFiles != 2 || second.Files != 3 || second.NewFiles != 2 {
			t.Errorf("first %+v\nsecond %+v; want the old picture not to be sent again", first, second)
		}
		for _, snapshot := range []string{first.Snapshot, second.Snapshot, ""} {
			r := restoring(filepath.Join(t.TempDir(), "new", "shop"))
			r.Snapshot = snapshot
			got, err := Restore(ctx, p, r)
			if err != nil {
				t.Fatal(err)
			}
			want := second.Head
			if snapshot == first.Snapshot {
				want = first.Head
			}
			if got.Head != want {
				t.Errorf("snapshot %q restored to the head %s; want %s", snapshot, got.Head, want)
			}
		}
	})
}

// Whatever byte of a backup is damaged: nothing is restored.
func TestRestoreRefusesDamage(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), source(t)
	record(t, s, 1)
	dir := t.TempDir()
	id, err := age.GenerateX25519Identity()
	if err != nil {
		t.Fatal(err)
	}
	for i, recipient := range []string{"", id.Recipient().String()} {
		p := folder(filepath.Join(dir, fmt.Sprint(i)))
		if _, err := Make(ctx, s, p, Options{Now: day, Recipient: recipient}); err != nil {
			t.Fatal(err)
		}
		names, err := p.List(ctx, objects)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			whole, err := os.ReadFile(p.path(name))
			if err != nil {
				t.Fatal(err)
			}
			for _, damaged := range [][]byte{nil, whole[:len(whole)-1], flip(whole, len(whole)/2),
				append(slices.Clone(whole), 0)} {
				if damaged == nil {
					err = os.Remove(p.path(name))
				} else {
					err = os.WriteFile(p.path(name), damaged, 0o600)
				}
				if err != nil {
					t.Fatal(err)
				}
				into := filepath.Join(t.TempDir(), "shop")
				if _, err := Restore(ctx, p, restoring(into, id)); err == nil && !bytes.HasPrefix(damaged, whole) {
					t.Errorf("%s, %d of %d bytes: restored", name, len(damaged), len(whole))
				} else if _, there := os.Stat(into); err != nil && !errors.Is(there, fs.ErrNotExist) {
					t.Errorf("%s: something was left: %v", name, there)
				}
			}
			if err := os.WriteFile(p.path(name), whole, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func flip(b []byte, at int) []byte {
	out := slices.Clone(b)
	out[at] ^= 4
	return out
}

// The database of a backup says otherwise than its manifest: its end was cut off by somebody who also made the
// sums right.
func TestRestoreHoldsTheHead(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), source(t)
	p := folder(t.TempDir())
	before, err := Make(ctx, s, p, Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	record(t, s, 1)
	after, err := Make(ctx, s, p, Options{Now: day.Add(time.Hour)})
	if err != nil {
		t.Fatal(err)
	}
	was, err := os.ReadFile(p.path(manifestName(before.Snapshot)))
	if err != nil {
		t.Fatal(err)
	}
	_, head, _ := strings.Cut(after.Head, ":")
	_, oldHead, _ := strings.Cut(before.Head, ":")
	forged := bytes.ReplaceAll(bytes.Replace(was, []byte(`"log_size": 0`), []byte(`"log_size": 1`), 1), []byte(oldHead),
		[]byte(head))
	if err := os.WriteFile(p.path(manifestName(before.Snapshot)), forged, 0o600); err != nil {
		t.Fatal(err)
	}
	r := restoring(filepath.Join(t.TempDir(), "shop"))
	r.Snapshot = before.Snapshot
	if _, err := Restore(ctx, p, r); !errors.Is(err, store.ErrLogDamaged) {
		t.Errorf("%v; want the log not to hold the head", err)
	}
}

func TestManifestLeadsNowhereElse(t *testing.T) {
	t.Parallel()
	for _, path := range []string{"../outside", "/etc/passwd", "a/../../b", ""} {
		m := Manifest{Files: []File{{Path: path, SHA256: strings.Repeat("a", 64), Object: "objects/aa/a"}}}
		if m.check() == nil {
			t.Errorf("a manifest may name %q", path)
		}
	}
}

// Two years of a backup a day: seven newest, one of each of 14 days, 8 weeks and 24 months stay, and what only
// the others used is gone.
func TestRotation(t *testing.T) {
	t.Parallel()
	var all []string
	for i := range 800 {
		all = append(all, day.AddDate(0, 0, i-799).Format(snapshotForm))
	}
	stay := kept(all, day)
	if n := len(stay); n < 14+6+20 || n > 14+8+25 {
		t.Errorf("%d stay of %d", n, len(all))
	}
	for _, s := range all[len(all)-14:] {
		if !stay[s] {
			t.Errorf("%s, of the last 14 days, goes", s)
		}
	}
	ctx, s := t.Context(), source(t)
	p := folder(t.TempDir())
	for i := range 12 {
		record(t, s, i)
		if _, err := Make(ctx, s, p, Options{Now: day.Add(time.Duration(i) * time.Minute)}); err != nil {
			t.Fatal(err)
		}
	}
	left, err := Snapshots(ctx, p)
	if err != nil || len(left) != 7 {
		t.Errorf("%d snapshots of one day left, %v; want 7", len(left), err)
	}
	names, err := p.List(ctx, objects)
	if err != nil || len(names) != 8 { // seven databases and the picture
		t.Errorf("%d objects left, %v; want 8", len(names), err)
	}
	for _, snapshot := range left {
		r := restoring(filepath.Join(t.TempDir(), "shop"))
		r.Snapshot = snapshot
		if _, err := Restore(ctx, p, r); err != nil {
			t.Error(err)
		}
	}
}

func TestPlaceNames(t *testing.T) {
	t.Setenv(s3KeyVariable, "")
	for where, says := range map[string]string{"": "no place", "ftp://x/y": "no place", "s3://host": "want s3://",
		"s3://host/bucket": s3KeyVariable} {
		if _, err := At(where); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("At(%q): %v; want it to say %q", where, err, says)
		}
	}
}

// The records of a backup can go into another database than the folder's file, which must be empty.
func TestRestoreIntoAnotherDatabase(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), source(t)
	record(t, s, 1)
	p := folder(t.TempDir())
	made, err := Make(ctx, s, p, Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	r := restoring(filepath.Join(t.TempDir(), "shop"))
	r.Server = "sqlite:" + filepath.Join(t.TempDir(), "elsewhere.db")
	if _, err := Restore(ctx, p, r); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(r.Into, "midcase.db")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the folder has a database, too: %v", err)
	}
	st, err := store.Open(ctx, r.Server)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	if size, root, err := st.Head(ctx); err != nil || fmt.Sprintf("%d:%s", size, root) != made.Head {
		t.Errorf("head %d:%s, %v; want %s", size, root, err, made.Head)
	}
	r.Into = filepath.Join(t.TempDir(), "again")
	if _, err := Restore(ctx, p, r); !errors.Is(err, shop.ErrExists) {
		t.Errorf("into a database with records: %v", err)
	}
	if _, err := os.Stat(r.Into); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("something was left: %v", err)
	}
}

// Where somebody removes a snapshot by hand, the next backup removes what only it used.
func TestWhatNoSnapshotUsesGoes(t *testing.T) {
	t.Parallel()
	ctx, s := t.Context(), source(t)
	p := folder(t.TempDir())
	first, err := Make(ctx, s, p, Options{Now: day})
	if err != nil {
		t.Fatal(err)
	}
	record(t, s, 1)
	if err := p.Remove(ctx, manifestName(first.Snapshot)); err != nil {
		t.Fatal(err)
	}
	if _, err := Make(ctx, s, p, Options{Now: day.Add(time.Hour)}); err != nil {
		t.Fatal(err)
	}
	if names, err := p.List(ctx, objects); err != nil || len(names) != 2 {
		t.Errorf("%d objects, %v; want the picture and one database", len(names), err)
	}
}
