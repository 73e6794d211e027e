package store

import (
	"context"
	"crypto/sha256"
	"database/sql/driver"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	sqlitedriver "modernc.org/sqlite"
)

// summed is a table whose rows have sums.
type summed struct {
	name         string
	columns, key []string
}

// unsummed are the tables without sums: the sums themselves, the log, which its hash tree holds,
// and a row that only serves as a lock.
var unsummed = []string{"sums", "log", "log_hashes", "writer"}

func init() {
	sqlitedriver.MustRegisterDeterministicScalarFunction("row_sum", -1,
		func(_ *sqlitedriver.FunctionContext, row []driver.Value) (driver.Value, error) {
			return rowSum(row), nil
		})
}

// rowSum is the first 8 bytes of the SHA-256 over the values of a row, each with its type and length.
func rowSum(row []driver.Value) int64 {
	h := sha256.New()
	put := func(kind byte, b []byte) {
		h.Write(binary.BigEndian.AppendUint64([]byte{kind}, uint64(len(b))))
		h.Write(b)
	}
	for _, v := range row {
		switch v := v.(type) {
		case nil:
			put('0', nil)
		case int64:
			put('i', binary.BigEndian.AppendUint64(nil, uint64(v)))
		case float64:
			put('f', binary.BigEndian.AppendUint64(nil, math.Float64bits(v)))
		case string:
			put('t', []byte(v))
		case []byte:
			put('b', v)
		case time.Time:
			put('d', []byte(writeTime(v)))
		default:
			put('x', fmt.Append(nil, v))
		}
	}
	return int64(binary.BigEndian.Uint64(h.Sum(nil)))
}

// keepSums puts the triggers in place that keep the sums, and takes the sum of each row of a
// table that had none yet or has other columns now.
func (s *Store) keepSums(ctx context.Context) error {
	tables, err := summedTables(ctx, s.dialect, s.write)
	if err != nil {
		return err
	}
	there, err := sumTriggers(ctx, s.dialect, s.write)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(tables, func(t summed) bool { return !slices.Contains(there[t.name], t.trigger("i")) }) {
		return nil
	}
	return s.change(ctx, "keep sums of rows", func(tx *transaction) error {
		there, err := sumTriggers(ctx, s.dialect, tx) // another process may have been quicker
		if err != nil {
			return err
		}
		for _, t := range tables {
			if slices.Contains(there[t.name], t.trigger("i")) {
				continue
			}
			if err := startSums(ctx, s.dialect, tx, t, there[t.name]); err != nil {
				return fmt.Errorf("table %s: %w", t.name, err)
			}
		}
		return nil
	})
}

// trigger names a trigger by what it covers, so that a table with other columns is told apart.
func (t summed) trigger(event string) string {
	sum := sha256.Sum256([]byte(strings.Join(t.columns, ",") + ";" + strings.Join(t.key, ",")))
	return fmt.Sprintf("sum_%s_%s_%s", event, t.name, hex.EncodeToString(sum[:4]))
}

func startSums(ctx context.Context, d dialect, tx *transaction, t summed, old []string) error {
	var statements []string
	for _, name := range old {
		statements = append(statements, d.dropTrigger(name, t.name))
	}
	statements = append(statements, `DELETE FROM sums WHERE tbl = '`+t.name+`'`,
		fmt.Sprintf(`INSERT INTO sums (tbl, id, sum) SELECT '%s', %s, %s FROM %s`, t.name, d.key(t, ""),
			d.sum(t, ""), quoted(t.name)))
	statements = append(statements, d.triggers(t)...)
	for _, q := range statements {
		if _, err := tx.ExecContext(ctx, q); err != nil {
			return err
		}
	}
	return nil
}

// summedTables are the tables as they are now, by name.
func summedTables(ctx context.Context, d dialect, q querier) ([]summed, error) {
	rows, err := q.QueryContext(ctx, d.columns)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []summed
	for rows.Next() {
		var table, column string
		var key bool
		if err := rows.Scan(&table, &column, &key); err != nil {
			return nil, err
		}
		if slices.Contains(unsummed, table) {
			continue
		}
		if len(out) == 0 || out[len(out)-1].name != table {
			out = append(out, summed{name: table})
		}
		t := &out[len(out)-1]
		t.columns = append(t.columns, column)
		if key {
			t.key = append(t.key, column)
		}
	}
	for i := range out {
		if len(out[i].key) == 0 {
			out[i].key = out[i].columns
		}
	}
	return out, rows.Err()
}

// sumTriggers are the names of the triggers that are there, by table.
func sumTriggers(ctx context.Context, d dialect, q querier) (map[string][]string, error) {
	rows, err := q.QueryContext(ctx, d.triggerNames)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string][]string{}
	for rows.Next() {
		var table, name string
		if err := rows.Scan(&table, &name); err != nil {
			return nil, err
		}
		out[table] = append(out[table], name)
	}
	return out, rows.Err()
}

func quoted(name string) string { return `"` + name + `"` }

// each writes a form for each column, with a prefix such as NEW. before its name.
func each(columns []string, prefix, form, joint string) string {
	var out []string
	for _, c := range columns {
		out = append(out, fmt.Sprintf(form, prefix+quoted(c)))
	}
	return strings.Join(out, joint)
}

// checkSums compares each row with its sum.
func (s inspector) checkSums(ctx context.Context, tx *transaction) ([]Finding, error) {
	tables, err := summedTables(ctx, s.dialect, tx)
	if err != nil {
		return nil, err
	}
	var out []Finding
	for _, t := range tables {
		found, err := s.checkTable(ctx, tx, t)
		if err != nil {
			found = append(found, Finding{What: whatTable(t.name), ID: t.name,
				Says: fmt.Sprintf("table %s cannot be read to its end: %v", t.name, err)})
		}
		out = append(out, found...)
	}
	return out, nil
}

func (s inspector) checkTable(ctx context.Context, tx *transaction, t summed) ([]Finding, error) {
	sums, err := sumsOf(ctx, tx, t.name)
	if err != nil {
		return nil, err
	}
	rows, err := tx.QueryContext(ctx, fmt.Sprintf(`SELECT %s, CAST(%s AS TEXT) FROM %s`, s.dialect.key(t, ""),
		s.dialect.sum(t, ""), quoted(t.name)))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Finding
	fault := func(key, says string) {
		id := strings.ReplaceAll(key, keyJoint, " ")
		out = append(out, Finding{What: whatTable(t.name), ID: id,
			Says: fmt.Sprintf("table %s, row %s: %s", t.name, id, says)})
	}
	for rows.Next() {
		var key, sum string
		if err := rows.Scan(&key, &sum); err != nil {
			return out, err
		}
		want, ok := sums[key]
		switch {
		case !ok:
			fault(key, "it has no sum: it was added behind the program's back, or its key is damaged")
		case want != sum:
			fault(key, "it is not what was written: it or its sum is damaged")
		}
		delete(sums, key)
	}
	if err := rows.Err(); err != nil {
		return out, err
	}
	for key := range sums {
		fault(key, "it is missing")
	}
	return out, nil
}

func sumsOf(ctx context.Context, tx *transaction, table string) (map[string]string, error) {
	rows, err := tx.QueryContext(ctx, `SELECT id, CAST(sum AS TEXT) FROM sums WHERE tbl = $1`, table)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	out := map[string]string{}
	for rows.Next() {
		var id, sum string
		if err := rows.Scan(&id, &sum); err != nil {
			return nil, err
		}
		out[id] = sum
	}
	return out, rows.Err()
}

// whatTable is the kind of finding that a table's rows belong to.
func whatTable(table string) string {
	switch table {
	case "watches":
		return InWatch
	case "sales":
		return InSale
	case "papers":
		return InPaper
	case "entries", "entry_subjects", "movements":
		return InLedger
	}
	return InDatabase
}
