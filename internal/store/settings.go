package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"midcase/internal/shop"
)

// Setting implements shop.SettingStore.
func (s *Store) Setting(ctx context.Context, name string) (string, error) {
	var value string
	if err := s.read.QueryRowContext(ctx, `SELECT value FROM settings WHERE name = $1`, plain(name)).Scan(&value); err != nil {
		return "", fmt.Errorf("setting %s: %w", name, found(err))
	}
	return value, nil
}

// SetSetting implements shop.SettingStore. The value may have line breaks.
func (s *Store) SetSetting(ctx context.Context, name, value string) error {
	if err := checkKey("setting", name); err != nil {
		return err
	}
	if !utf8.ValidString(value) || strings.ContainsRune(value, 0) {
		return fmt.Errorf("setting %s: found %q; want UTF-8 text without NUL", name, value)
	}
	return s.change(ctx, "set "+name, func(tx *transaction) error { return setSetting(ctx, tx, name, value) })
}

// ReplaceSetting implements shop.SettingStore.
func (s *Store) ReplaceSetting(ctx context.Context, name, was, value string) error {
	if err := checkKey("setting", name); err != nil {
		return err
	}
	if !utf8.ValidString(value) || strings.ContainsRune(value, 0) {
		return fmt.Errorf("setting %s: found %q; want UTF-8 text without NUL", name, value)
	}
	return s.change(ctx, "set "+name, func(tx *transaction) error {
		var now string
		err := tx.QueryRowContext(ctx, `SELECT value FROM settings WHERE name = $1`, name).Scan(&now)
		if err != nil && found(err) != shop.ErrNotFound {
			return err
		}
		if now != was {
			return shop.ErrConflict
		}
		return setSetting(ctx, tx, name, value)
	})
}

// setSetting sets a setting within a transaction, with its entry in the history.
func setSetting(ctx context.Context, tx *transaction, name, value string) error {
	before, version, err := lastSetting(ctx, tx, name)
	if err != nil {
		return err
	}
	after, err := json.Marshal(value)
	if err != nil {
		return err
	}
	if err := putSetting(ctx, tx, name, value); err != nil {
		return err
	}
	if err := advance(ctx, tx, partSettings); err != nil {
		return err
	}
	return record(ctx, tx, SubjectSetting, name, version+1, time.Time{}, before, string(after))
}

// lastSetting is the setting's latest state in the history, version 0 where there is
// none.
func lastSetting(ctx context.Context, tx *transaction, name string) (doc string, version int, err error) {
	err = tx.QueryRowContext(ctx,
		`SELECT doc_after, version FROM history WHERE subject = $1 AND id = $2 ORDER BY version DESC LIMIT 1`,
		SubjectSetting, name).Scan(&doc, &version)
	if found(err) == shop.ErrNotFound {
		return "", 0, nil
	}
	return doc, version, err
}

func putSetting(ctx context.Context, tx *transaction, name, value string) error {
	_, err := tx.ExecContext(ctx, `
		INSERT INTO settings (name, value) VALUES ($1, $2)
		ON CONFLICT (name) DO UPDATE SET value = excluded.value`, name, value)
	return err
}
