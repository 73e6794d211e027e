package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"midcase/internal/shop"
)

func TestBackup(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openSQLite(t)
	fill(t, s, 9)
	size, root, err := s.Head(ctx)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "it's a copy.db")
	if err := s.Backup(ctx, path); err != nil {
		t.Fatal(err)
	}
	if err := s.Append(ctx, "w_0", item("ev_later")); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, path); !errors.Is(err, shop.ErrExists) {
		t.Errorf("over a file that is there: %v; want %v", err, shop.ErrExists)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "no folder", "copy.db")); err == nil {
		t.Error("a copy into no folder succeeded")
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v, %v; want the copy alone", entries, err)
	}

	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 && runtime.GOOS != "windows" {
		t.Errorf("the copy's mode is %v, %v; want it private", info.Mode(), err)
	}
	back := openURL(t, path)
	if n, _, err := back.Head(ctx); err != nil || n != size {
		t.Errorf("the copy has %d records, %v; want %d", n, err, size)
	}
	for _, err := range []error{back.Verify(ctx), back.CheckHead(ctx, size, root),
		back.Append(ctx, "w_1", item("ev_later"))} {
		if err != nil {
			t.Error(err)
		}
	}
	if _, err := back.write.ExecContext(ctx, `DELETE FROM log`); err == nil {
		t.Error("the copy's log can be deleted")
	}
}

func TestBackupWhileWriting(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openSQLite(t)
	fill(t, s, 50)
	var group sync.WaitGroup
	defer group.Wait()
	group.Go(func() {
		for i := range 50 {
			if err := s.Append(ctx, "w_0", item("ev_more_"+strings.Repeat("x", i))); err != nil {
				t.Error(err)
			}
		}
	})
	dir := t.TempDir()
	for _, name := range []string{"a", "b", "c"} {
		path := filepath.Join(dir, name)
		if err := s.Backup(ctx, path); err != nil {
			t.Fatal(err)
		}
		if err := openURL(t, path).Verify(ctx); err != nil {
			t.Error(err)
		}
	}
}

// A backup of a PostgreSQL database is the rows of one moment, while others go on recording, and can be put into
// either engine again.
func TestBackupOfPostgres(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	ctx, s := t.Context(), openPostgres(t)
	namesSomebody(t, s)
	if err := s.RedactItem(ctx, "w_1", "ev_1", by("ev_3")); err != nil {
		t.Fatal(err)
	}
	if err := s.UseClientKey(make([]byte, ClientKeyBytes)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.CreateClient(ctx, shop.Client{ID: "c_1", Name: "Ansel Brightmoor"}); err != nil {
		t.Fatal(err)
	}
	if err := s.SetSetting(ctx, "list", `{"a":1}`); err != nil {
		t.Fatal(err)
	}
	stop := make(chan struct{})
	var writer sync.WaitGroup
	writer.Go(func() {
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			it := item(fmt.Sprintf("ev_while_%d", i))
			if err := s.Append(ctx, "w_1", it); err != nil {
				t.Error(err)
				return
			}
		}
	})
	path := filepath.Join(t.TempDir(), "copy.db")
	err := s.Backup(ctx, path)
	close(stop)
	writer.Wait()
	if err != nil {
		t.Fatal(err)
	}
	lite := openURL(t, "sqlite:"+path)
	again := openPostgres(t)
	if err := CopyRows(ctx, lite, again); err != nil {
		t.Fatal(err)
	}
	size, root, err := lite.Head(ctx)
	if err != nil || size < 3 {
		t.Fatalf("head of %d items, %v", size, err)
	}
	if err := s.CheckHead(ctx, size, root); err != nil {
		t.Errorf("the copy is no moment of the database: %v", err)
	}
	for name, copied := range map[string]*Store{"sqlite": lite, "postgres": again} {
		if err := copied.CheckHead(ctx, size, root); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if found, err := copied.Check(ctx); err != nil || len(found) > 0 {
			t.Errorf("%s: found %v, error %v", name, found, err)
		}
		if err := copied.UseClientKey(make([]byte, ClientKeyBytes)); err != nil {
			t.Fatal(err)
		}
		if c, err := copied.Client(ctx, "c_1"); err != nil || c.Name != "Ansel Brightmoor" {
			t.Errorf("%s: client %+v, %v", name, c, err)
		}
		if err := copied.Append(ctx, "w_1", item("ev_after")); err != nil {
			t.Errorf("%s: it is not gone on with: %v", name, err)
		}
	}
	if err := CopyRows(ctx, lite, again); !errors.Is(err, shop.ErrExists) {
		t.Errorf("over records that are there: %v", err)
	}
}
