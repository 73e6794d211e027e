package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
	driver "modernc.org/sqlite"
	sqlitecode "modernc.org/sqlite/lib"
)

// applicationID marks an SQLite file as ours ("MDCS"), so that a path mistyped does
// not write our tables into another program's database.
const applicationID = 0x4d444353

var errNewer = errors.New("written by a newer program")

// migrate brings the database up to the newest numbered migration.
func (s *Store) migrate(ctx context.Context) error {
	if s.dialect.name == sqlite.name {
		if err := s.patiently(ctx, isBusy, s.claimFile); err != nil {
			return err
		}
	}
	options := []goose.ProviderOption{goose.WithDisableGlobalRegistry(true)}
	if s.dialect.name == postgres.name {
		locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 60))
		if err != nil {
			return err
		}
		options = append(options, goose.WithSessionLocker(locker))
	}
	provider, err := goose.NewProvider(s.dialect.goose, s.write, s.dialect.migrations, options...)
	if err != nil {
		return err
	}
	// SQLite has no lock that spans a migration run, so two processes that open a new
	// file at once may collide; the one that lost finds the work done.
	return s.patiently(ctx, func(err error) bool { return !errors.Is(err, errNewer) },
		func(ctx context.Context) error { return up(ctx, provider) })
}

// patiently tries again, on SQLite, what failed in a way that may pass. Changing the
// journal of a new file does not wait for the busy timeout, so that several who open
// it at once get in each other's way.
func (s *Store) patiently(ctx context.Context, passing func(error) bool, do func(context.Context) error) error {
	for try := 0; ; try++ {
		err := do(ctx)
		if err == nil || !passing(err) || try == 7 || ctx.Err() != nil || s.dialect.name != sqlite.name {
			return err
		}
		time.Sleep(30 * time.Millisecond << try)
	}
}

// isBusy tells that another connection held the file (SQLITE_BUSY and its extended
// codes).
func isBusy(err error) bool {
	var e *driver.Error
	return errors.As(err, &e) && e.Code()&0xff == sqlitecode.SQLITE_BUSY
}

func up(ctx context.Context, p *goose.Provider) error {
	have, know, err := p.GetVersions(ctx)
	if err != nil {
		return err
	}
	if have > know {
		return fmt.Errorf("%w: its tables are of version %d, this program knows version %d; use a newer midcase",
			errNewer, have, know)
	}
	if have == know {
		return nil
	}
	_, err = p.Up(ctx)
	return err
}

// claimFile marks a new SQLite file as ours and refuses one that is not.
func (s *Store) claimFile(ctx context.Context) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var tables, id int64
	if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM sqlite_master`).Scan(&tables); err != nil {
		return err
	}
	if err := tx.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id); err != nil {
		return err
	}
	switch {
	case id == applicationID:
		return nil
	case tables > 0 || id != 0:
		return fmt.Errorf("it is the database of another program; name a file of its own for the shop")
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf(`PRAGMA application_id = %d`, applicationID)); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return err
	}
	return s.makePrivate(ctx)
}

// makePrivate lets only the owner read a new file, since clients' names are in it. It
// goes by names: opening the file beside SQLite would drop SQLite's locks on it.
func (s *Store) makePrivate(ctx context.Context) error {
	var file string
	if err := s.write.QueryRowContext(ctx, `SELECT file FROM pragma_database_list WHERE name = 'main'`).Scan(&file); err != nil {
		return err
	}
	for _, name := range []string{file, file + "-wal", file + "-shm"} {
		if err := os.Chmod(name, 0o600); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}
