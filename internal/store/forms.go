package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// formsKept is how long the token of a form is kept: longer than a page stays open.
const formsKept = 6 * 7 * 24 * time.Hour

// take keeps the token of the context in the transaction of the first change that is made with it. It is
// shop.ErrDone where another request has kept it.
func take(ctx context.Context, tx *transaction, t *shop.Token) error {
	if t == nil {
		return nil
	}
	if err := checkKey("form token", t.ID); err != nil {
		return err
	}
	if _, err := tx.ExecContext(ctx, `DELETE FROM forms WHERE at < $1`, writeTime(t.At.Add(-formsKept))); err != nil {
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO forms (token, request, at, led) VALUES ($1, $2, $3, '') ON CONFLICT (token) DO NOTHING`,
		plain(t.ID), t.Request, writeTime(t.At))
	if err != nil {
		return err
	}
	var by string
	if err := tx.QueryRowContext(ctx, `SELECT request FROM forms WHERE token = $1`, plain(t.ID)).Scan(&by); err != nil {
		return err
	}
	if by != t.Request {
		return shop.ErrDone
	}
	return nil
}

// FormAnswer implements shop.FormStore.
func (s *Store) FormAnswer(ctx context.Context, token string) (led string, done bool, err error) {
	err = s.read.QueryRowContext(ctx, `SELECT led FROM forms WHERE token = $1`, plain(token)).Scan(&led)
	if errors.Is(err, sql.ErrNoRows) {
		return "", false, nil
	}
	if err != nil {
		return "", false, fmt.Errorf("form: %w", err)
	}
	return led, true, nil
}

// AnswerForm implements shop.FormStore.
func (s *Store) AnswerForm(ctx context.Context, token, led string) error {
	return s.change(shop.WithToken(ctx, nil), "answer a form", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `UPDATE forms SET led = $1 WHERE token = $2`, plain(led), plain(token))
		return err
	})
}
