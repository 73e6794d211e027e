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

// Backup writes a whole, consistent copy of a store into a new SQLite file while the store is in use. From a PostgreSQL
// database the rows of one moment are read, so that every backup has one form and can be restored into either. A file
// that is there already is shop.ErrExists.
func (s *Store) Backup(ctx context.Context, path string) error {
	if err := s.backup(ctx, path); err != nil {
		return fmt.Errorf("back up to %s: %w", path, err)
	}
	return nil
}

func (s *Store) backup(ctx context.Context, path string) error {
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
	write := vacuumInto
	if s.dialect.name != sqlite.name {
		write = rowsInto
	}
	if err := write(ctx, s, part); err != nil {
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
func vacuumInto(ctx context.Context, s *Store, path string) error {
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
