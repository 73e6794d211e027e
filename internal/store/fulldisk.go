package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync/atomic"

	"midcase/internal/shop"
)

// fullness is whether the disk is full: nothing is recorded until there is space again.
type fullness struct {
	shut atomic.Bool // opened for reading only; stays so until it is opened again
	seen atomic.Bool // the last change failed for it
}

// Full reports whether the disk is full, so that reading goes on and nothing can be recorded.
func Full(s *Store) bool { return s.full.shut.Load() || s.full.seen.Load() }

// noSpace is how many bytes SQLite needs beside a database to open it for writing.
const noSpace = 64 << 10

// diskIsFull reports whether nothing can be written into a folder for lack of space.
func diskIsFull(dir string) bool {
	f, err := os.CreateTemp(dir, ".midcase-space-*")
	if err != nil {
		return errors.Is(diskFull(err), shop.ErrDiskFull)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(make([]byte, noSpace))
	return errors.Is(diskFull(errors.Join(err, f.Close())), shop.ErrDiskFull)
}

// openFull opens a database on a full disk for reading only. SQLite cannot make its files beside it there; where the
// last changes stand in a write-ahead log, a copy of both is read from another place that has space.
func openFull(ctx context.Context, path string, options []Option) (*Store, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	at, copied := path, ""
	if info, err := os.Stat(path + "-wal"); err == nil && info.Size() > 0 {
		if copied, err = copyElsewhere(path); err != nil {
			return nil, fmt.Errorf("%w, and no other folder has space to read the last changes: %w", shop.ErrDiskFull, err)
		}
		at = filepath.Join(copied, filepath.Base(path))
	}
	dsn := sqliteDSN(at, "_pragma=query_only(1)")
	if copied == "" {
		u := url.URL{Scheme: "file", Path: filepath.ToSlash(at)}
		dsn = u.String() + "?mode=ro&immutable=1&_pragma=query_only(1)"
	}
	db, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(readers)
	s := newStore(sqlite, db, db, path)
	s.temporary = copied
	s.full.shut.Store(true)
	s.wal = func() ([]Finding, error) { return walFindings(path) }
	for _, o := range options {
		if err := o(s); err != nil {
			s.Close()
			return nil, err
		}
	}
	if err := current(ctx, s.dialect, db); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// copyElsewhere copies a database and its write-ahead log into a new folder that has space for them.
func copyElsewhere(path string) (dir string, err error) {
	for _, root := range []string{os.TempDir(), "/dev/shm"} {
		var at string
		if at, err = os.MkdirTemp(root, "midcase-copy-*"); err != nil {
			continue
		}
		to := filepath.Join(at, filepath.Base(path))
		if err = errors.Join(copyFile(path, to), copyFile(path+"-wal", to+"-wal")); err == nil {
			return at, nil
		}
		os.RemoveAll(at)
	}
	return "", err
}
