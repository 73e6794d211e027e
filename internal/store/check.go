package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"golang.org/x/mod/sumdb/tlog"

	"midcase/internal/shop"
)

// What a finding of a check is about.
const (
	InDatabase = "database"
	InLog      = "log"
	InLedger   = "ledger"
	InWatch    = "watch"
	InSale     = "sale"
	InPaper    = "paper"
	InHead     = "head"
	InBlob     = "blob"
	InBook     = "book"
)

// Finding is one thing that a check found to be wrong.
type Finding struct {
	What string `json:"what"` // one of the kinds above
	ID   string `json:"id"`
	Says string `json:"says"`
}

// inspector checks a store.
type inspector struct{ *Store }

// Check reads everything in the database and returns what is not as it was written: by the engine's own
// check, the sums of its write-ahead log, the hash tree of the log, the chain of the ledger, the sums of the rows,
// the history of watches, clients and settings, and the heads of the log that issued papers name. It changes nothing.
func (s *Store) Check(ctx context.Context) ([]Finding, error) {
	i := inspector{s}
	return i.check(ctx, []checking{{InDatabase, i.checkWAL}, {InDatabase, i.checkEngine}, {InLog, i.checkLog},
		{InLedger, i.checkLedger}, {InDatabase, i.checkSums}, {InDatabase, i.checkHistory}, {InHead, i.checkHeads}})
}

// CheckLight is what a check can do quickly: the engine's quick check, and the heads that papers name.
func (s *Store) CheckLight(ctx context.Context) ([]Finding, error) {
	i := inspector{s}
	return i.check(ctx, []checking{{InDatabase, i.checkWAL}, {InDatabase, i.quickCheck}, {InHead, i.checkHeads}})
}

// checking is one part of a check, and what it is about where it cannot be done.
type checking struct {
	what string
	do   func(context.Context, *transaction) ([]Finding, error)
}

// check runs each part in a transaction of its own: on PostgreSQL one that failed ends its transaction.
func (s inspector) check(ctx context.Context, parts []checking) ([]Finding, error) {
	var out []Finding
	for _, part := range parts {
		err := s.snapshot(ctx, func(tx *transaction) error {
			found, err := part.do(ctx, tx)
			out = append(out, found...)
			return err
		})
		if ctx.Err() != nil {
			return out, fmt.Errorf("check: %w", ctx.Err())
		}
		if err != nil {
			out = append(out, Finding{What: part.what, Says: "it cannot be read: " + err.Error()})
		}
	}
	return out, nil
}

func (s inspector) checkWAL(context.Context, *transaction) ([]Finding, error) {
	if s.wal == nil {
		return nil, nil
	}
	return s.wal()
}

// engineFaults bounds how many faults the engine's own check lists.
const engineFaults = 100

func (s inspector) checkEngine(ctx context.Context, tx *transaction) ([]Finding, error) {
	if s.dialect.name != sqlite.name {
		return nil, nil // it holds its keys by itself; the sums read every row
	}
	out, err := pragmaFaults(ctx, tx, fmt.Sprintf(`PRAGMA integrity_check(%d)`, engineFaults))
	if err != nil {
		return out, err
	}
	rows, err := tx.QueryContext(ctx, `SELECT "table", COALESCE(rowid, -1), parent FROM pragma_foreign_key_check`)
	if err != nil {
		return out, err
	}
	defer rows.Close()
	for rows.Next() {
		var table, parent string
		var row int64
		if err := rows.Scan(&table, &row, &parent); err != nil {
			return out, err
		}
		out = append(out, Finding{What: whatTable(table), ID: table,
			Says: fmt.Sprintf("table %s, row %d: the row of %s that it belongs to is missing", table, row, parent)})
	}
	if err := rows.Err(); err != nil {
		return out, err
	}
	found, err := s.checkSchema(ctx, tx)
	return append(out, found...), err
}

// checkSchema compares tables, indexes and triggers with those of a new store.
func (s inspector) checkSchema(ctx context.Context, tx *transaction) ([]Finding, error) {
	dir, err := os.MkdirTemp("", "midcase-new-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	fresh, err := Open(ctx, "sqlite:"+filepath.Join(dir, "new.db"))
	if err != nil {
		return nil, err
	}
	defer fresh.Close()
	want, err := schemaOf(ctx, fresh.read)
	if err != nil {
		return nil, err
	}
	have, err := schemaOf(ctx, tx)
	if err != nil {
		return nil, err
	}
	var out []Finding
	for name, text := range want {
		if have[name] != text {
			out = append(out, Finding{What: InDatabase, ID: name, Says: "the definition of " + name + " is missing or damaged"})
		}
		delete(have, name)
	}
	for name := range have {
		out = append(out, Finding{What: InDatabase, ID: name, Says: "the definition of " + name + " is not the program's"})
	}
	return out, nil
}

// schemaOf is what the database says of its tables, indexes and triggers, by name.
func schemaOf(ctx context.Context, q querier) (map[string]string, error) {
	rows, err := q.QueryContext(ctx, `SELECT name, type || ' on ' || tbl_name || ': ' || COALESCE(sql, '') FROM sqlite_master`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string]string{}
	for rows.Next() {
		var name, text string
		if err := rows.Scan(&name, &text); err != nil {
			return nil, err
		}
		out[name] = text
	}
	return out, rows.Err()
}

func (s inspector) quickCheck(ctx context.Context, tx *transaction) ([]Finding, error) {
	if s.dialect.name != sqlite.name {
		return nil, nil
	}
	return pragmaFaults(ctx, tx, fmt.Sprintf(`PRAGMA quick_check(%d)`, engineFaults))
}

// pragmaFaults runs a check of SQLite's, which answers ok or one fault a row.
func pragmaFaults(ctx context.Context, tx *transaction, query string) ([]Finding, error) {
	rows, err := tx.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Finding
	for rows.Next() {
		var says string
		if err := rows.Scan(&says); err != nil {
			return out, err
		}
		if says != "ok" {
			out = append(out, Finding{What: InDatabase, Says: says})
		}
	}
	return out, rows.Err()
}

func (s inspector) checkLog(ctx context.Context, tx *transaction) ([]Finding, error) {
	faults, err := logFaults(ctx, tx)
	var out []Finding
	for _, f := range faults {
		out = append(out, Finding{What: InLog, Says: f})
	}
	return out, err
}

func (s inspector) checkLedger(ctx context.Context, _ *transaction) ([]Finding, error) {
	err := s.VerifyLedger(ctx)
	if errors.Is(err, ErrLedgerDamaged) {
		return []Finding{{What: InLedger, Says: err.Error()}}, nil
	}
	return nil, err
}

// checkHistory holds that each change begins where the one before it ended, and that what stands now
// is what the last change left.
func (s inspector) checkHistory(ctx context.Context, tx *transaction) ([]Finding, error) {
	rows, err := tx.QueryContext(ctx,
		`SELECT subject, id, version, doc_before, doc_after FROM history ORDER BY subject, id, version`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Finding
	last := map[[2]string]string{}
	for rows.Next() {
		var subject, id, before, after string
		var version int64
		if err := rows.Scan(&subject, &id, &version, &before, &after); err != nil {
			return out, err
		}
		if was := last[[2]string{subject, id}]; was != before {
			out = append(out, Finding{What: whatSubject(subject), ID: id,
				Says: fmt.Sprintf("version %d of %s %s does not begin where the one before it ended", version, subject, id)})
		}
		last[[2]string{subject, id}] = after
	}
	if err := rows.Err(); err != nil {
		return out, err
	}
	for _, q := range []struct{ subject, query string }{
		{SubjectWatch, `SELECT id, doc FROM watches`},
		{SubjectClient, `SELECT id, doc FROM clients`},
		{SubjectSetting, `SELECT name, value FROM settings`},
	} {
		found, err := standing(ctx, tx, q.subject, q.query, last)
		if out = append(out, found...); err != nil {
			return out, err
		}
	}
	for key := range last {
		out = append(out, Finding{What: whatSubject(key[0]), ID: key[1],
			Says: fmt.Sprintf("%s %s has a history but no record", key[0], key[1])})
	}
	return out, nil
}

// standing compares what stands now with the last state in the history, and strikes it off.
func standing(ctx context.Context, tx *transaction, subject, query string, last map[[2]string]string) ([]Finding, error) {
	rows, err := tx.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Finding
	for rows.Next() {
		var id, doc string
		if err := rows.Scan(&id, &doc); err != nil {
			return out, err
		}
		if subject == SubjectSetting {
			b, err := json.Marshal(doc)
			if err != nil {
				return out, err
			}
			doc = string(b)
		}
		key := [2]string{subject, id}
		if last[key] != doc {
			out = append(out, Finding{What: whatSubject(subject), ID: id,
				Says: fmt.Sprintf("%s %s is not what its history says it became last", subject, id)})
		}
		delete(last, key)
	}
	return out, rows.Err()
}

func whatSubject(subject string) string {
	if subject == SubjectWatch {
		return InWatch
	}
	return InDatabase
}

// checkHeads holds the log against each head that an issued paper names.
func (s inspector) checkHeads(ctx context.Context, tx *transaction) ([]Finding, error) {
	papers, err := docs(ctx, tx, "papers", readJSON[shop.Paper], `SELECT doc FROM papers ORDER BY seq`)
	if err != nil {
		return nil, err
	}
	hashes := &storedHashes{ctx: ctx, tx: tx}
	size, err := logSize(ctx, tx)
	if err != nil {
		return nil, err
	}
	var out []Finding
	for _, p := range papers {
		if p.LogRoot == "" {
			continue
		}
		if err := headHolds(size, hashes, p.LogSize, p.LogRoot); err != nil {
			out = append(out, Finding{What: InHead, ID: p.Number,
				Says: fmt.Sprintf("%s %s: %v", p.Kind, p.Number, err)})
		}
	}
	return out, nil
}

// headHolds errs where a log of so many items does not begin with the head given.
func headHolds(now int64, hashes tlog.HashReader, size int64, root string) error {
	want, err := tlog.ParseHash(root)
	if err != nil {
		return fmt.Errorf("root %q: want a SHA-256 in base64", root)
	}
	if size < 0 || size > now {
		return fmt.Errorf("%w: it has %d records, the head says %d", ErrLogDamaged, now, size)
	}
	got, err := tlog.TreeHash(size, hashes)
	if err != nil {
		return err
	}
	if got != want {
		return fmt.Errorf("%w: its first %d records have the root %s, the head says %s", ErrLogDamaged, size, got, want)
	}
	return nil
}
