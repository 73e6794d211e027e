package store

import (
	"errors"
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

func TestBackupOfPostgres(t *testing.T) {
	t.Parallel()
	needPostgres(t)
	err := openPostgres(t).Backup(t.Context(), filepath.Join(t.TempDir(), "copy"))
	if err == nil || !strings.Contains(err.Error(), "pg_dump") {
		t.Errorf("error %v; want it to name pg_dump", err)
	}
}
