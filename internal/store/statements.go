package store

import (
	"context"
	"database/sql"
	"time"
)

// transaction is one transaction of the database. A statement that comes again is prepared once: an import of
// ten thousand watches says the same few statements some sixty thousand times, and parsing them took
// half its time.
type transaction struct {
	*sql.Tx
	now    time.Time            // what the clock says; zero where nobody compares it
	onTime bool                 // it was compared, and is not behind
	said   map[string]*sql.Stmt // nil where a text was said once
}

// mostStatements bounds what is kept prepared in one transaction.
const mostStatements = 64

// statement is the prepared statement of a text that was said before; nil at its first time.
func (t *transaction) statement(ctx context.Context, query string) (*sql.Stmt, error) {
	kept, again := t.said[query]
	if kept != nil || !again && len(t.said) >= mostStatements {
		return kept, nil
	}
	if !again {
		if t.said == nil {
			t.said = map[string]*sql.Stmt{}
		}
		t.said[query] = nil
		return nil, nil
	}
	stmt, err := t.Tx.PrepareContext(ctx, query) // the end of the transaction closes it
	if err != nil {
		return nil, err
	}
	t.said[query] = stmt
	return stmt, nil
}

// ExecContext is sql.Tx.ExecContext.
func (t *transaction) ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error) {
	stmt, err := t.statement(ctx, query)
	switch {
	case err != nil:
		return nil, err
	case stmt != nil:
		return stmt.ExecContext(ctx, args...)
	}
	return t.Tx.ExecContext(ctx, query, args...)
}

// QueryContext is sql.Tx.QueryContext.
func (t *transaction) QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error) {
	stmt, err := t.statement(ctx, query)
	switch {
	case err != nil:
		return nil, err
	case stmt != nil:
		return stmt.QueryContext(ctx, args...)
	}
	return t.Tx.QueryContext(ctx, query, args...)
}

// QueryRowContext is sql.Tx.QueryRowContext.
func (t *transaction) QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row {
	stmt, err := t.statement(ctx, query)
	if err == nil && stmt != nil {
		return stmt.QueryRowContext(ctx, args...)
	}
	return t.Tx.QueryRowContext(ctx, query, args...)
}
