package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/pressly/goose/v3"
)

// OpenCopy opens a store only to look at it, without changing a byte of it: a database on a medium that
// cannot be written, a copy kept elsewhere, or one of an older program. Where SQLite cannot read the file in
// its place (its write-ahead log must be played in first, or its tables are of an older version), a copy
// in the folder for temporary files is opened; Close removes it.
func OpenCopy(ctx context.Context, rawURL string) (*Store, error) {
	name := shownName(rawURL)
	path, isFile := filePath(rawURL)
	if !isFile {
		return openServer(ctx, rawURL)
	}
	if info, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("open store %s: %w", name, err)
	} else if info.Size() == 0 {
		return nil, fmt.Errorf("open store %s: the file is empty", name)
	}
	found, err := walFindings(path) // before SQLite looks at it
	if err != nil {
		return nil, fmt.Errorf("open store %s: %w", name, err)
	}
	s, err := openInPlace(ctx, path)
	if err != nil {
		s, err = openTemporary(ctx, path)
	}
	if err != nil {
		return nil, fmt.Errorf("open store %s: %w", name, err)
	}
	s.wal = func() ([]Finding, error) { return found, nil }
	return s, nil
}

// filePath is the path of an SQLite store; ok is false where the URL names a server.
func filePath(rawURL string) (path string, ok bool) {
	scheme, rest, isURL := strings.Cut(rawURL, "://")
	switch {
	case isURL && scheme == "sqlite":
		return rest, true
	case isURL:
		return "", false
	}
	return strings.TrimPrefix(rawURL, "sqlite:"), true
}

// openServer opens a PostgreSQL store whose tables are of this program's version.
func openServer(ctx context.Context, rawURL string) (*Store, error) {
	d, read, write, err := pools(rawURL)
	if err != nil {
		return nil, fmt.Errorf("open store %s: %w", shownName(rawURL), err)
	}
	s := newStore(d, read, write, rawURL)
	if err := current(ctx, s.dialect, s.write); err != nil {
		s.Close()
		return nil, fmt.Errorf("open store %s: %w", shownName(rawURL), err)
	}
	return s, nil
}

// openInPlace reads the file where it is, by connections that cannot write.
func openInPlace(ctx context.Context, path string) (*Store, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(abs + "-wal"); errors.Is(err, fs.ErrNotExist) {
		return nil, errors.New("to be read in place the database must be in use") // else SQLite would leave files beside it
	}
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(abs)}
	db, err := sql.Open("sqlite", u.String()+"?mode=ro&_pragma=busy_timeout(15000)&_pragma=query_only(1)")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(readers)
	s := newStore(sqlite, db, db, path)
	if err := current(ctx, s.dialect, s.write); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// current errs where the tables are not of this program's version.
func current(ctx context.Context, d dialect, db *sql.DB) error {
	p, err := goose.NewProvider(d.goose, db, d.migrations, goose.WithDisableGlobalRegistry(true))
	if err != nil {
		return err
	}
	have, err := tablesVersion(ctx, db)
	if err != nil {
		return err
	}
	sources := p.ListSources()
	if know := sources[len(sources)-1].Version; have != know {
		return fmt.Errorf("its tables are of version %d, this program's of version %d", have, know)
	}
	return nil
}

// tablesVersion reads what goose keeps, without making its table where it is missing.
func tablesVersion(ctx context.Context, q querier) (n int64, err error) {
	err = q.QueryRowContext(ctx, `SELECT COALESCE(MAX(version_id), 0) FROM goose_db_version`).Scan(&n)
	return n, err
}

// openTemporary opens a copy of the file and of its write-ahead log.
func openTemporary(ctx context.Context, path string) (*Store, error) {
	dir, err := os.MkdirTemp("", "midcase-copy-*")
	if err != nil {
		return nil, err
	}
	copied := filepath.Join(dir, filepath.Base(path))
	err = copyFile(path, copied)
	if err == nil {
		if err = copyFile(path+"-wal", copied+"-wal"); errors.Is(err, fs.ErrNotExist) {
			err = nil
		}
	}
	var s *Store
	if err == nil {
		s, err = Open(ctx, "sqlite:"+copied)
	}
	if err != nil {
		os.RemoveAll(dir)
		return nil, err
	}
	s.temporary = dir
	return s, nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
