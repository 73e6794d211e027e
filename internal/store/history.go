package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"midcase/internal/shop"
)

// What a change in the history is about.
const (
	SubjectWatch   = "watch"
	SubjectClient  = "client"
	SubjectSetting = "setting"
)

// Change is one entry of the history: what stood before and what after.
type Change struct {
	Subject string          `json:"subject"`
	ID      string          `json:"id"`
	Version int             `json:"version"`
	At      time.Time       `json:"at"` // as the changed record says; zero where it says nothing
	Before  json.RawMessage `json:"before,omitempty"`
	After   json.RawMessage `json:"after"`
}

// History returns every change of one watch, client or setting, the oldest first.
func (s *Store) History(ctx context.Context, subject, id string) ([]Change, error) {
	rows, err := s.read.QueryContext(ctx,
		`SELECT version, at, doc_before, doc_after FROM history WHERE subject = $1 AND id = $2 ORDER BY version`, subject, id)
	if err != nil {
		return nil, fmt.Errorf("history of %s %s: %w", subject, id, err)
	}
	defer rows.Close()
	var out []Change
	for rows.Next() {
		c := Change{Subject: subject, ID: id}
		var at, before, after string
		if err := rows.Scan(&c.Version, &at, &before, &after); err != nil {
			return nil, fmt.Errorf("history of %s %s: %w", subject, id, err)
		}
		if c.At, err = readTime(at); err != nil {
			return nil, fmt.Errorf("history of %s %s: %w", subject, id, err)
		}
		if before != "" {
			c.Before = json.RawMessage(before)
		}
		c.After = json.RawMessage(after)
		out = append(out, c)
	}
	if err := rows.Err(); err != nil || subject != SubjectClient {
		return out, err
	}
	rows.Close()
	return out, s.unsealHistory(ctx, id, out)
}

// record adds an entry to the history.
func record(ctx context.Context, tx *transaction, subject, id string, version int, at time.Time, before,
	after string) error {
	_, err := tx.ExecContext(ctx, `
		INSERT INTO history (seq, subject, id, version, at, doc_before, doc_after)
		VALUES ((SELECT COALESCE(MAX(seq) + 1, 0) FROM history), $1, $2, $3, $4, $5, $6)`,
		subject, id, version, writeTime(at), before, after)
	return err
}

// Rebuild makes the stock list, the clients and the settings anew from the history,
// in one transaction. On a sound store it changes nothing.
func (s *Store) Rebuild(ctx context.Context) error {
	return s.change(ctx, "rebuild", func(tx *transaction) error {
		if err := rebuildWatches(ctx, tx); err != nil {
			return err
		}
		if err := rebuildClients(ctx, tx); err != nil {
			return err
		}
		if err := rebuildSettings(ctx, tx); err != nil {
			return err
		}
		for _, p := range []part{partWatches, partClients, partSettings} {
			if err := advance(ctx, tx, p); err != nil {
				return err
			}
		}
		return nil
	})
}

func rebuildWatches(ctx context.Context, tx *transaction) error {
	docs, err := latest(ctx, tx, SubjectWatch)
	if err != nil {
		return err
	}
	for id, doc := range docs {
		var w shop.Watch
		if err := json.Unmarshal([]byte(doc), &w); err != nil {
			return fmt.Errorf("history of watch %s: %w", id, err)
		}
		if err := putWatch(ctx, tx, w, doc); err != nil {
			return fmt.Errorf("watch %s: %w", id, err)
		}
	}
	return dropOthers(ctx, tx, `DELETE FROM watches WHERE id NOT IN (SELECT id FROM history WHERE subject = $1)`, SubjectWatch)
}

// rebuildClients needs no key: a sealed record goes back as it is.
func rebuildClients(ctx context.Context, tx *transaction) error {
	docs, err := latest(ctx, tx, SubjectClient)
	if err != nil {
		return err
	}
	for id, doc := range docs {
		c := shop.Client{ID: id}
		if sealed(doc) {
			if err := tx.QueryRowContext(ctx, `SELECT MAX(version) FROM history WHERE subject = $1 AND id = $2`, SubjectClient, id).Scan(&c.Version); err != nil {
				return err
			}
		} else if err := json.Unmarshal([]byte(doc), &c); err != nil {
			return fmt.Errorf("history of client %s: %w", id, err)
		}
		if err := putClient(ctx, tx, c, doc); err != nil {
			return fmt.Errorf("client %s: %w", id, err)
		}
	}
	return dropOthers(ctx, tx, `DELETE FROM clients WHERE id NOT IN (SELECT id FROM history WHERE subject = $1)`, SubjectClient)
}

func rebuildSettings(ctx context.Context, tx *transaction) error {
	docs, err := latest(ctx, tx, SubjectSetting)
	if err != nil {
		return err
	}
	for name, doc := range docs {
		var value string
		if err := json.Unmarshal([]byte(doc), &value); err != nil {
			return fmt.Errorf("history of setting %s: %w", name, err)
		}
		if err := putSetting(ctx, tx, name, value); err != nil {
			return fmt.Errorf("setting %s: %w", name, err)
		}
	}
	return dropOthers(ctx, tx, `DELETE FROM settings WHERE name NOT IN (SELECT id FROM history WHERE subject = $1)`, SubjectSetting)
}

func dropOthers(ctx context.Context, tx *transaction, query, subject string) error {
	_, err := tx.ExecContext(ctx, query, subject)
	return err
}

// latest is the newest state of everything of one subject, by id.
func latest(ctx context.Context, tx *transaction, subject string) (map[string]string, error) {
	rows, err := tx.QueryContext(ctx, `SELECT id, doc_after FROM history WHERE subject = $1 ORDER BY seq`, subject)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	docs := map[string]string{}
	for rows.Next() {
		var id, doc string
		if err := rows.Scan(&id, &doc); err != nil {
			return nil, err
		}
		docs[id] = doc
	}
	return docs, rows.Err()
}

// timeForm has a fixed width, so that times in UTC sort as text.
const timeForm = "2006-01-02T15:04:05.000000000Z"

func writeTime(t time.Time) string { return t.UTC().Format(timeForm) }

func readTime(s string) (time.Time, error) { return time.Parse(timeForm, s) }
