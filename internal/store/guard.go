package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"syscall"

	"github.com/jackc/pgx/v5/pgconn"
	"golang.org/x/mod/sumdb/tlog"
	driver "modernc.org/sqlite"
	sqlitecode "modernc.org/sqlite/lib"

	"midcase/internal/shop"
)

// ErrReplaced is shop.ErrReplaced.
var ErrReplaced = shop.ErrReplaced

// Replaced reports whether the database file was deleted, or another one put in its place.
func Replaced(s *Store) bool { return s.guard.sameFile() != nil }

// guard remembers what the database was when this process looked last, so that a change is made only to what it
// knows.
type guard struct {
	path string      // of an SQLite file; empty on PostgreSQL
	file os.FileInfo // as it was opened

	mu   sync.Mutex
	size int64  // of the log, when last seen
	root string // its root then
}

// watchFile remembers which file was opened.
func (g *guard) watchFile(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	g.path, g.file = path, info
	return nil
}

// sameFile errs where the path no longer leads to the file that was opened.
func (g *guard) sameFile() error {
	if g.path == "" {
		return nil
	}
	if now, err := os.Stat(g.path); err != nil || !os.SameFile(now, g.file) {
		return ErrReplaced
	}
	return nil
}

// continues holds, before a change is acknowledged, that the log still begins with what was seen of it last: two
// programs on copies of one database, or a file written over, would each have a log of their own. It returns the head
// to remember once the change is made.
func (g *guard) continues(ctx context.Context, tx *transaction) (size int64, root string, err error) {
	g.mu.Lock()
	lastSize, lastRoot := g.size, g.root
	g.mu.Unlock()
	if size, err = logSize(ctx, tx); err != nil || size == lastSize {
		return lastSize, lastRoot, err
	}
	hashes := &storedHashes{ctx: ctx, tx: tx}
	if lastRoot != "" {
		if err := headHolds(size, hashes, lastSize, lastRoot); err != nil {
			return 0, "", fmt.Errorf("%w: %w", shop.ErrOtherLog, err)
		}
	}
	h, err := tlog.TreeHash(size, hashes)
	return size, h.String(), err
}

func (g *guard) remember(size int64, root string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if size > g.size {
		g.size, g.root = size, root
	}
}

// diskFull puts an error of either engine that means a full disk as shop.ErrDiskFull.
func diskFull(err error) error {
	if err == nil {
		return nil
	}
	var lite *driver.Error
	var pg *pgconn.PgError
	full := errors.As(err, &lite) && lite.Code()&0xff == sqlitecode.SQLITE_FULL ||
		errors.As(err, &pg) && pg.Code == "53100" || // disk_full, PostgreSQL appendix A
		errors.Is(err, syscall.ENOSPC)
	if full {
		return fmt.Errorf("%w: %w", shop.ErrDiskFull, err)
	}
	return err
}
