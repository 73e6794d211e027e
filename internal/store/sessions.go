package store

import (
	"context"
	"encoding/base64"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// waysIn keeps sessions and what people come in with. It is part of a Store.
type waysIn struct{ store *Store }

// KeepSession implements shop.DoorStore. Sessions that have ended are cleared away with it.
func (w waysIn) KeepSession(ctx context.Context, hash string, data []byte, now, until time.Time) error {
	return w.store.change(shop.WithToken(ctx, nil), "keep a session", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM sessions WHERE id = $1 OR until < $2`, hash, writeTime(now))
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO sessions (id, data, until) VALUES ($1, $2, $3)`,
			hash, base64.StdEncoding.EncodeToString(data), writeTime(until))
		return err
	})
}

// Session implements shop.DoorStore.
func (w waysIn) Session(ctx context.Context, hash string, now time.Time) ([]byte, error) {
	var data string
	err := w.store.read.QueryRowContext(ctx, `SELECT data FROM sessions WHERE id = $1 AND until > $2`, hash,
		writeTime(now)).Scan(&data)
	if err != nil {
		return nil, fmt.Errorf("session: %w", found(err))
	}
	return base64.StdEncoding.DecodeString(data)
}

// EndSession implements shop.DoorStore.
func (w waysIn) EndSession(ctx context.Context, hash string) error {
	return w.store.change(shop.WithToken(ctx, nil), "end a session", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM sessions WHERE id = $1`, hash)
		return err
	})
}

// KeepCredential implements shop.DoorStore.
func (w waysIn) KeepCredential(ctx context.Context, c shop.Credential) error {
	return w.store.change(shop.WithToken(ctx, nil), "keep a way in", func(tx *transaction) error {
		if _, err := tx.ExecContext(ctx, `DELETE FROM credentials WHERE id = $1`, c.ID); err != nil {
			return err
		}
		used := ""
		if !c.Used.IsZero() {
			used = writeTime(c.Used)
		}
		_, err := tx.ExecContext(ctx,
			`INSERT INTO credentials (id, person, kind, name, data, made, used) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
			c.ID, c.Person, c.Kind, plain(c.Name), c.Data, writeTime(c.Made), used)
		return err
	})
}

// UseCredential implements shop.DoorStore.
func (w waysIn) UseCredential(ctx context.Context, c shop.Credential) error {
	return w.store.change(shop.WithToken(ctx, nil), "use a way in", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `UPDATE credentials SET data = $1, used = $2 WHERE id = $3`, c.Data,
			writeTime(c.Used), c.ID)
		return err
	})
}

const credentialColumns = `SELECT id, person, kind, name, data, made, used FROM credentials `

// Credential implements shop.DoorStore.
func (w waysIn) Credential(ctx context.Context, id string) (shop.Credential, error) {
	all, err := w.credentials(ctx, credentialColumns+`WHERE id = $1`, id)
	if err == nil && len(all) == 0 {
		err = shop.ErrNotFound
	}
	if err != nil {
		return shop.Credential{}, fmt.Errorf("way in: %w", err)
	}
	return all[0], nil
}

// Credentials implements shop.DoorStore.
func (w waysIn) Credentials(ctx context.Context, person string) ([]shop.Credential, error) {
	all, err := w.credentials(ctx, credentialColumns+`WHERE person = $1 ORDER BY made, id`, person)
	if err != nil {
		return nil, fmt.Errorf("ways in: %w", err)
	}
	return all, nil
}

func (w waysIn) credentials(ctx context.Context, query, about string) ([]shop.Credential, error) {
	rows, err := w.store.read.QueryContext(ctx, query, about)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []shop.Credential
	for rows.Next() {
		var c shop.Credential
		var made, used string
		if err := rows.Scan(&c.ID, &c.Person, &c.Kind, &c.Name, &c.Data, &made, &used); err != nil {
			return nil, err
		}
		if c.Made, err = readTime(made); err != nil {
			return nil, err
		}
		if used != "" {
			if c.Used, err = readTime(used); err != nil {
				return nil, err
			}
		}
		out = append(out, c)
	}
	return out, rows.Err()
}

// DropCredentials implements shop.DoorStore.
func (w waysIn) DropCredentials(ctx context.Context, person, id string) error {
	return w.store.change(shop.WithToken(ctx, nil), "take a way in", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM credentials WHERE person = $1 AND ($2 = '' OR id = $2)`, person, id)
		return err
	})
}
