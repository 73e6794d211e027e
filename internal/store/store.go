package store

import (
	"context"
	"crypto/cipher"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"midcase/internal/shop"
)

// Store keeps the shop's records in one database. Its methods may be called from
// many goroutines at once. What they return is the caller's own.
type Store struct {
	dialect     dialect
	read, write *sql.DB // the same pool on PostgreSQL
	url         string
	clientKey   cipher.AEAD // nil where client data are kept in plain text
	keyLost     bool        // client data are encrypted and their key is not at hand
	guard       *guard
	full        *fullness
	now         func() time.Time // the machine's clock; nil: it is not compared
	waysIn
	exampleTable
	hookTable
	textTable
	linkTable
	redactions
	clocks
	temporary string                    // a folder to remove on Close; empty where there is none
	wal       func() ([]Finding, error) // what is damaged in the write-ahead log; nil on PostgreSQL
}

var _ interface {
	shop.Records
} = (*Store)(nil)

// Open opens the store that the URL names and brings its tables up to date:
// sqlite:PATH or a plain path for a file, made where it is missing, or
// postgres://user@host/database for a PostgreSQL server. Options come after. On a full disk a file is opened for
// reading only, and Full says so.
func Open(ctx context.Context, rawURL string, options ...Option) (*Store, error) {
	s, err := open(ctx, rawURL, options)
	path, isFile := filePath(rawURL)
	if err == nil || !isFile || !diskIsFull(filepath.Dir(path)) {
		return s, err
	}
	if s, err = openFull(ctx, path, options); err != nil {
		return nil, fmt.Errorf("open store %s: %w", shownName(rawURL), err)
	}
	return s, nil
}

func open(ctx context.Context, rawURL string, options []Option) (*Store, error) {
	name := shownName(rawURL)
	path, isFile := filePath(rawURL)
	damaged := false
	if isFile {
		var err error
		if damaged, err = keepDamagedWAL(path); err != nil {
			return nil, fmt.Errorf("open store %s: %w", name, err)
		}
	}
	d, read, write, err := pools(rawURL)
	if err != nil {
		return nil, fmt.Errorf("open store %s: %w", name, err)
	}
	s := newStore(d, read, write, rawURL)
	for _, o := range options {
		if err := o(s); err != nil {
			s.Close()
			return nil, fmt.Errorf("open store %s: %w", name, err)
		}
	}
	err = s.migrate(ctx)
	if err == nil {
		err = s.keepSums(ctx)
	}
	if isFile && err == nil {
		s.wal = func() ([]Finding, error) { return walFindings(path) }
		err = s.guard.watchFile(path)
	}
	if damaged && err == nil {
		err = s.flush(ctx) // SQLite writes over what it could read only; the rest is in the copy
	}
	if err != nil {
		s.Close()
		return nil, fmt.Errorf("open store %s: %w", name, err)
	}
	return s, nil
}

// newStore is a store on open connections.
func newStore(d dialect, read, write *sql.DB, url string) *Store {
	s := &Store{dialect: d, read: read, write: write, url: url, guard: &guard{}, full: &fullness{}}
	s.waysIn, s.exampleTable, s.hookTable = waysIn{s}, exampleTable{s}, hookTable{s}
	s.textTable, s.linkTable, s.redactions = textTable{s}, linkTable{s}, redactions{s}
	s.clocks = clocks{s}
	return s
}

// shownName is the URL without its password.
func shownName(rawURL string) string {
	if u, err := url.Parse(rawURL); err == nil && u.User != nil {
		return u.Redacted()
	}
	if i := strings.LastIndexByte(rawURL, '@'); strings.Contains(rawURL, "://") && i >= 0 {
		return "…" + rawURL[i:]
	}
	return rawURL
}

// Close closes all connections.
func (s *Store) Close() error {
	err := s.read.Close()
	if s.read != s.write {
		err = errors.Join(err, s.write.Close())
	}
	if s.temporary != "" {
		err = errors.Join(err, os.RemoveAll(s.temporary))
	}
	return err
}

// change runs do in one writing transaction: all of it is kept or nothing. Only one
// change runs at a time. do may be run again, so it must not have effects outside tx.
func (s *Store) change(ctx context.Context, what string, do func(tx *transaction) error) error {
	const tries = 10
	var err error
	for range tries {
		if err = s.changeOnce(ctx, do); err == nil || !s.dialect.again(err) {
			break
		}
	}
	if err = diskFull(err); err == nil || errors.Is(err, shop.ErrDiskFull) {
		s.full.seen.Store(err != nil) // a refusal for another reason says nothing about the disk
	}
	if err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

func (s *Store) changeOnce(ctx context.Context, do func(tx *transaction) error) error {
	if s.full.shut.Load() {
		return shop.ErrDiskFull
	}
	begun, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer begun.Rollback()
	tx := &transaction{Tx: begun}
	if s.now != nil {
		tx.now = s.now()
	}
	if s.dialect.lock != "" {
		var one int
		if err := tx.QueryRowContext(ctx, s.dialect.lock).Scan(&one); err != nil {
			return err
		}
	}
	token := shop.TokenOf(ctx)
	if err := take(ctx, tx, token); err != nil {
		return err
	}
	if err := do(tx); err != nil {
		return err
	}
	size, root, err := s.guard.continues(ctx, tx)
	if err != nil {
		return err
	}
	if err := s.guard.sameFile(); err != nil {
		return err
	}
	defer shop.Changed(ctx) // also where the commit failed: it may have come through
	if err := tx.Commit(); err != nil {
		return err
	}
	s.guard.remember(size, root)
	if token != nil {
		token.Take()
	}
	return nil
}

// snapshot runs do in a reading transaction that sees one state of the database.
func (s *Store) snapshot(ctx context.Context, do func(tx *transaction) error) error {
	tx, err := s.read.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return err
	}
	defer tx.Rollback()
	return do(&transaction{Tx: tx})
}

// querier is what a pool and a transaction have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// found turns "no rows" into the shop's error.
func found(err error) error {
	if errors.Is(err, sql.ErrNoRows) {
		return shop.ErrNotFound
	}
	return err
}

// checkKey refuses a key that the two engines would not keep alike: empty, not
// UTF-8, or with control characters (PostgreSQL cannot hold NUL).
func checkKey(field, key string) error {
	if key == "" {
		return fmt.Errorf("%s: found nothing; want a text", field)
	}
	return checkText(field, key)
}

func checkText(field, text string) error {
	if !utf8.ValidString(text) {
		return fmt.Errorf("%s: found %q; want UTF-8 text", field, text)
	}
	if strings.IndexFunc(text, unicode.IsControl) >= 0 {
		return fmt.Errorf("%s: found %q; want text without control characters", field, text)
	}
	return nil
}
