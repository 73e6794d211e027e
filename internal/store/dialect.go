package store

import (
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
	_ "github.com/jackc/pgx/v5/stdlib" // database/sql driver "pgx"
	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // database/sql driver "sqlite"
)

// dialect is all in which the two engines differ. Everything else is written once.
type dialect struct {
	name       string
	goose      goose.Dialect
	migrations fs.FS
	// lock is run first in every writing transaction, so that writers queue. SQLite
	// needs none, since its transactions begin as writers.
	lock string
	// again reports whether a transaction that failed so may simply be run again.
	again func(error) bool

	// For the sums of rows: queries that list the columns of all tables and the triggers, and
	// how key and sum of a row, and the triggers of a table, are written.
	columns, triggerNames string
	key, sum              func(t summed, prefix string) string
	triggers              func(t summed) []string
	dropTrigger           func(name, table string) string
}

//go:embed migrations
var migrations embed.FS

func sub(dir string) fs.FS {
	f, err := fs.Sub(migrations, dir)
	if err != nil {
		panic(err) // a constant name that embed has checked
	}
	return f
}

var sqlite = dialect{
	name:       "sqlite",
	goose:      goose.DialectSQLite3,
	migrations: sub("migrations/sqlite"),
	again:      func(error) bool { return false },

	columns: sqliteColumns, triggerNames: sqliteTriggers, key: sqliteKey, sum: sqliteSum,
	triggers: sqliteSumTriggers, dropTrigger: sqliteDropTrigger,
}

var postgres = dialect{
	name:       "postgres",
	goose:      goose.DialectPostgres,
	migrations: sub("migrations/postgres"),
	lock:       `SELECT one FROM writer WHERE one = 1 FOR UPDATE`,
	again: func(err error) bool {
		var e *pgconn.PgError
		// serialization_failure and deadlock_detected, PostgreSQL appendix A
		return errors.As(err, &e) && (e.Code == "40001" || e.Code == "40P01")
	},

	columns: postgresColumns, triggerNames: postgresTriggers, key: postgresKey, sum: postgresSum,
	triggers: postgresSumTriggers, dropTrigger: postgresDropTrigger,
}

// readers is how many connections may read at once.
const readers = 8

// pools opens the connections for reading and for writing that the URL names.
func pools(rawURL string) (d dialect, read, write *sql.DB, err error) {
	scheme, _, isURL := strings.Cut(rawURL, "://")
	switch {
	case isURL && (scheme == "postgres" || scheme == "postgresql"):
		db, err := sql.Open("pgx", rawURL)
		if err != nil {
			return d, nil, nil, err
		}
		db.SetMaxOpenConns(2 * readers)
		return postgres, db, db, nil
	case isURL && scheme != "sqlite":
		return d, nil, nil, fmt.Errorf("store %s://…: want sqlite:PATH, a plain path, or postgres://…", scheme)
	}
	path := strings.TrimPrefix(rawURL, "sqlite:")
	if isURL {
		path = strings.TrimPrefix(path, "//")
	}
	read, write, err = sqlitePools(path)
	return sqlite, read, write, err
}

func sqlitePools(path string) (read, write *sql.DB, err error) {
	if path == "" || strings.HasPrefix(path, ":memory:") || strings.HasPrefix(path, "file:") {
		return nil, nil, fmt.Errorf("store %q: want the path of a file; a database in memory would be another one for each connection", path)
	}
	path, err = filepath.Abs(path)
	if err != nil {
		return nil, nil, err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, nil, err
	}
	// 32 MB of pages, and what a statement may have to take back in memory: else a change of 100,000 rows writes each
	// page many times over.
	if write, err = sql.Open("sqlite", sqliteDSN(path, "_txlock=immediate&_pragma=cache_size(-32000)&_pragma=temp_store(2)")); err != nil {
		return nil, nil, err
	}
	// One connection: writers of this process queue in Go, fairly, and only those of
	// other processes meet the busy timeout.
	write.SetMaxOpenConns(1)
	if read, err = sql.Open("sqlite", sqliteDSN(path, "_pragma=query_only(1)")); err != nil {
		write.Close()
		return nil, nil, err
	}
	read.SetMaxOpenConns(readers)
	return read, write, nil
}

// sqliteDSN puts the pragmas where every connection of a pool gets them. The busy
// timeout comes first, since setting the journal mode may itself have to wait.
// Without recursive_triggers, INSERT OR REPLACE would delete behind the triggers. With
// secure_delete, the key of an erased client does not stay in a free page.
func sqliteDSN(path, more string) string {
	slash := filepath.ToSlash(path)
	if !strings.HasPrefix(slash, "/") {
		slash = "/" + slash
	}
	u := url.URL{Scheme: "file", Path: slash}
	return u.String() + "?_pragma=busy_timeout(15000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)" +
		"&_pragma=secure_delete(1)&_pragma=foreign_keys(1)&_pragma=recursive_triggers(1)&" + more
}
