package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"

	"midcase/internal/shop"
)

// uncopied are the tables of which the copy has its own: what the engine needs, and sums that triggers keep.
var uncopied = []string{"sums", "writer", "goose_db_version"}

// rowsInto writes the rows of one moment into a new SQLite file.
func rowsInto(ctx context.Context, s *Store, path string) error {
	to, err := Open(ctx, "sqlite:"+path)
	if err != nil {
		return err
	}
	return errors.Join(CopyRows(ctx, s, to), to.Close()) // closing moves the write-ahead log into the file
}

// CopyRows writes all rows of a store as they are at one moment into another one, of either engine, that has none
// yet: all or none. A store with records in it is shop.ErrExists.
func CopyRows(ctx context.Context, from, to *Store) error {
	err := from.snapshot(ctx, func(in *transaction) error {
		tables, err := copiedTables(ctx, from, in)
		if err != nil {
			return err
		}
		out, err := to.write.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		defer out.Rollback()
		if err := isEmpty(ctx, out); err != nil {
			return err
		}
		for _, t := range tables {
			if err := copyTable(ctx, in, out, t); err != nil {
				return fmt.Errorf("table %s: %w", t.name, err)
			}
		}
		return out.Commit()
	})
	if err != nil {
		return fmt.Errorf("copy the records: %w", err)
	}
	return nil
}

// copiedTables are the tables in an order in which what others name comes first.
func copiedTables(ctx context.Context, s *Store, q querier) ([]summed, error) {
	tables, err := summedTables(ctx, s.dialect, q)
	if err != nil {
		return nil, err
	}
	tables = slices.DeleteFunc(tables, func(t summed) bool { return slices.Contains(uncopied, t.name) })
	tables = append(tables, summed{"log", []string{"seq", "watch", "id", "item"}, []string{"seq"}},
		summed{"log_hashes", []string{"n", "hash"}, []string{"n"}})
	first := []string{"watches", "entries"}
	slices.SortStableFunc(tables, func(a, b summed) int {
		place := func(t summed) int { return (slices.Index(first, t.name) + 1 + len(first)) % (len(first) + 1) }
		return place(a) - place(b)
	})
	return tables, nil
}

// isEmpty errs where anything was recorded.
func isEmpty(ctx context.Context, tx *sql.Tx) error {
	for _, table := range []string{"watches", "clients", "history", "sales", "log", "entries", "sign_ins"} {
		there, err := have(ctx, tx, `SELECT COUNT(*) FROM `+quoted(table))
		if err != nil {
			return err
		}
		if there {
			return fmt.Errorf("the database has records already: %w; name an empty one", shop.ErrExists)
		}
	}
	return nil
}

// copyTable copies in the order of the key, which triggers ask for.
func copyTable(ctx context.Context, in *transaction, out *sql.Tx, t summed) error {
	begun, err := have(ctx, out, `SELECT COUNT(*) FROM `+quoted(t.name))
	if err == nil && begun { // counters, with which an empty store begins
		_, err = out.ExecContext(ctx, `DELETE FROM `+quoted(t.name))
	}
	if err != nil {
		return err
	}
	columns := each(t.columns, "", "%s", ", ")
	rows, err := in.QueryContext(ctx, fmt.Sprintf(`SELECT %s FROM %s ORDER BY %s`, columns, quoted(t.name),
		each(t.key, "", "%s", ", ")))
	if err != nil {
		return err
	}
	defer rows.Close()
	var places []string
	for i := range t.columns {
		places = append(places, fmt.Sprintf("$%d", i+1))
	}
	put, err := out.PrepareContext(ctx, fmt.Sprintf(`INSERT INTO %s (%s) VALUES (%s)`, quoted(t.name), columns,
		strings.Join(places, ", ")))
	if err != nil {
		return err
	}
	defer put.Close()
	row, into := make([]any, len(t.columns)), make([]any, len(t.columns))
	for i := range row {
		into[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if _, err := put.ExecContext(ctx, row...); err != nil {
			return err
		}
	}
	return rows.Err()
}
