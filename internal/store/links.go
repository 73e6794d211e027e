package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"midcase/internal/shop"
)

// linkTable keeps addresses by which one client looks at one watch. It is part of a Store.
type linkTable struct{ in *Store }

// KeepLink implements shop.LinkStore.
func (t linkTable) KeepLink(ctx context.Context, l shop.Link, hash string) error {
	for field, key := range map[string]string{"link": l.ID, "hash of a link": hash, "client of a link": l.Client} {
		if err := checkKey(field, key); err != nil {
			return err
		}
	}
	doc, err := json.Marshal(l)
	if err != nil {
		return err
	}
	return t.in.change(ctx, "keep a private link", func(tx *transaction) error {
		if err := needWatch(ctx, tx, l.Watch); err != nil {
			return fmt.Errorf("watch %s: %w", l.Watch, err)
		}
		const insert = `INSERT INTO links (id, hash, watch, client, made, doc) VALUES ($1, $2, $3, $4, $5, $6)`
		_, err := tx.ExecContext(ctx, insert, l.ID, hash, string(l.Watch), l.Client, writeTime(l.Made), string(doc))
		return err
	})
}

// Links implements shop.LinkStore.
func (t linkTable) Links(ctx context.Context, f shop.LinkFilter) ([]shop.Link, error) {
	var where []string
	var args []any
	for column, want := range map[string]string{"watch": string(f.Watch), "client": f.Client} {
		if want != "" {
			args = append(args, plain(want))
			where = append(where, fmt.Sprintf("%s = $%d", column, len(args)))
		}
	}
	query := `SELECT doc FROM links`
	if len(where) > 0 {
		query += ` WHERE ` + strings.Join(where, " AND ")
	}
	return docs(ctx, t.in.read, "private links", readJSON[shop.Link], query+` ORDER BY made DESC, id DESC`, args...)
}

// LinkOf implements shop.LinkStore.
func (t linkTable) LinkOf(ctx context.Context, hash string) (shop.Link, error) {
	return oneLink(ctx, t.in.read, "hash", hash)
}

func oneLink(ctx context.Context, q querier, column, key string) (l shop.Link, err error) {
	var doc string
	err = q.QueryRowContext(ctx, `SELECT doc FROM links WHERE `+column+` = $1`, plain(key)).Scan(&doc)
	if err != nil {
		return l, fmt.Errorf("private link: %w", found(err))
	}
	err = json.Unmarshal([]byte(doc), &l)
	return l, err
}

// changeLink writes what do makes of a link.
func (t linkTable) changeLink(ctx context.Context, what, id string, do func(l *shop.Link)) (l shop.Link, err error) {
	err = t.in.change(ctx, what, func(tx *transaction) error {
		if l, err = oneLink(ctx, tx, "id", id); err != nil {
			return err
		}
		do(&l)
		doc, err := json.Marshal(l)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `UPDATE links SET doc = $1 WHERE id = $2`, string(doc), plain(id))
		return err
	})
	return l, err
}

// EndLink implements shop.LinkStore.
func (t linkTable) EndLink(ctx context.Context, id string, at time.Time) (shop.Link, error) {
	return t.changeLink(ctx, "take a private link back", id, func(l *shop.Link) {
		if l.Ended.IsZero() {
			l.Ended = at
		}
	})
}

// SeeLink implements shop.LinkStore.
func (t linkTable) SeeLink(ctx context.Context, id string, at time.Time) error {
	_, err := t.changeLink(ctx, "note that a private link was opened", id, func(l *shop.Link) {
		l.Views++
		l.Seen = append(l.Seen, at)
		l.Seen = l.Seen[max(0, len(l.Seen)-shop.SeenKept):]
	})
	return err
}

// DropLinks implements shop.LinkStore.
func (t linkTable) DropLinks(ctx context.Context, client string) error {
	return t.in.change(ctx, "take private links away", func(tx *transaction) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM links WHERE client = $1`, plain(client))
		return err
	})
}
