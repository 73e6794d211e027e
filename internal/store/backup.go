package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"midcase/internal/shop"
)

// serverWay is how a database on a server is backed up.
const serverWay = "the records are in a PostgreSQL database, which its own tools copy: run pg_dump --format=custom, " +
	"and copy the folders blobs and book of the shop with it"

// OnServer says how to back up a store that Backup does not copy; it is empty for one that it does.
func OnServer(s *Store) string {
	if s.dialect.name == sqlite.name {
		return ""
	}
	return serverWay
}

// Backup writes a whole, consistent copy of an SQLite store into a new file while
// the store is in use. A file that is there already is shop.ErrExists. A PostgreSQL
// database is copied by its own tools (pg_dump).
func (s *Store) Backup(ctx context.Context, path string) error {
	if err := s.backup(ctx, path); err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) error {
	if s.dialect.name != sqlite.name {
		return errors.New(serverWay)
	}
	if _, err := os.Lstat(path); err == nil {
		return shop.ErrExists
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	// Under another name until it is whole, in a folder of its own beside it, so that
	// it is private from the first byte and two copies made at once do not meet.
	dir, err := os.MkdirTemp(filepath.Dir(path), ".backup-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	part := filepath.Join(dir, "copy")
	if err := s.vacuumInto(ctx, part); err != nil {
		return err
	}
	if err := os.Chmod(part, 0o600); err != nil {
		return err
	}
	if err := syncFile(part); err != nil {
		return err
	}
	// Link, unlike rename, refuses to replace a file made meanwhile.
	if err := os.Link(part, path); errors.Is(err, fs.ErrExist) {
		return shop.ErrExists
	} else if err != nil {
		return err
	}
	if runtime.GOOS == "windows" { // cannot sync a folder, and need not
		return nil
	}
	return syncFile(filepath.Dir(path))
}

// vacuumInto copies by a connection of its own: the writer's would hold up the shop,
// and the readers' may not write.
func (s *Store) vacuumInto(ctx context.Context, path string) error {
	_, read, write, err := pools(s.url)
	if err != nil {
		return err
	}
	defer read.Close()
	defer write.Close()
	_, err = write.ExecContext(ctx, `VACUUM INTO $1`, path)
	return err
}

// syncFile puts a file, or the names in a folder, on the disk for good.
func syncFile(path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Counts is the number of rows of each table.
func Counts(ctx context.Context, s *Store) (map[string]int, error) {
	tables, err := summedTables(ctx, s.dialect, s.read)
	if err != nil {
		return nil, fmt.Errorf("count rows: %w", err)
	}
	out := map[string]int{}
	for _, name := range append(tables, summed{name: "log"}) {
		var n int
		if err := s.read.QueryRowContext(ctx, `SELECT COUNT(*) FROM `+quoted(name.name)).Scan(&n); err != nil {
			return nil, fmt.Errorf("count rows: %w", err)
		}
		out[name.name] = n
	}
	return out, nil
}
