package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"midcase/internal/shop"
)

// What is sealed of a paper is bound to the paper, so that it passes for no other's.
func aboutPaper(client, id string) string { return "paper\n" + client + "\n" + id }

// LastPaper implements shop.PaperStore.
func (s *Store) LastPaper(ctx context.Context, series string) (int, error) {
	var n int
	if err := s.read.QueryRowContext(ctx, `SELECT COALESCE(MAX(number), 0) FROM papers WHERE series = $1`, plain(series)).Scan(&n); err != nil {
		return 0, fmt.Errorf("series %s of papers: %w", series, err)
	}
	return n, nil
}

// KeepPaper implements shop.PaperStore.
func (s *Store) KeepPaper(ctx context.Context, p shop.Paper, content string) (shop.Paper, error) {
	var kept shop.Paper
	err := s.change(ctx, "keep paper "+p.Number, func(tx *transaction) error {
		for _, x := range []struct{ field, text string }{{"id", p.ID}, {"series", p.Series}, {"client", p.Client}} {
			if err := checkText(x.field, x.text); err != nil {
				return err
			}
		}
		if err := needWatch(ctx, tx, p.Watch); err != nil {
			return fmt.Errorf("watch %s: %w", p.Watch, err)
		}
		there, err := have(ctx, tx, `SELECT COUNT(*) FROM papers WHERE id = $1`, p.ID)
		if err != nil || there {
			return errors.Join(err, existsIf(there))
		}
		var last int
		if err := tx.QueryRowContext(ctx, `SELECT COALESCE(MAX(number), 0) FROM papers WHERE series = $1`, p.Series).Scan(&last); err != nil {
			return err
		}
		if p.InSeries != last+1 {
			return fmt.Errorf("number %d of series %s: %w", p.InSeries, p.Series, shop.ErrConflict)
		}
		if p.Seq, err = nextSeq(ctx, tx, "papers"); err != nil {
			return err
		}
		var doc string
		if kept, doc, err = roundTrip(p); err != nil {
			return err
		}
		if s.keyLost && p.Client != "" {
			return ErrClientKey
		}
		text := content
		if s.clientKey != nil && p.Client != "" && content != "" {
			if text, err = s.sealFor(ctx, tx, p.Client, aboutPaper(p.Client, p.ID), content); err != nil {
				return err
			}
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO papers (seq, id, series, number, watch, client, doc, content) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			p.Seq, p.ID, p.Series, p.InSeries, string(p.Watch), p.Client, doc, text)
		if err != nil {
			return err
		}
		return advance(ctx, tx, partPapers)
	})
	return kept, err
}

// sealFor encrypts a text with a client's data key, which must be there.
func (s *Store) sealFor(ctx context.Context, tx *transaction, client, about, text string) (string, error) {
	var wrapped string
	if err := tx.QueryRowContext(ctx, `SELECT wrapped FROM client_keys WHERE id = $1`, client).Scan(&wrapped); err != nil {
		return "", fmt.Errorf("key of client %s: %w", client, found(err))
	}
	k, err := s.dataKey(client, wrapped)
	if err != nil {
		return "", err
	}
	return sealPrefix + seal(k, about, []byte(text)), nil
}

// Papers implements shop.PaperStore.
func (s *Store) Papers(ctx context.Context, f shop.PaperFilter) ([]shop.Paper, error) {
	query, args := `SELECT doc FROM papers WHERE 1 = 1`, []any(nil)
	if f.Watch != "" {
		args = append(args, plain(string(f.Watch)))
		query += fmt.Sprintf(` AND watch = $%d`, len(args))
	}
	if f.Holding != "" {
		args = append(args, likePattern(plain(f.Holding)))
		query += fmt.Sprintf(` AND doc LIKE $%d ESCAPE '\'`, len(args))
	}
	query += ` ORDER BY seq DESC`
	if f.Limit > 0 {
		query += fmt.Sprintf(` LIMIT %d`, f.Limit)
	}
	return docs(ctx, s.read, "papers", readJSON[shop.Paper], query, args...)
}

// Paper implements shop.PaperStore. The content of an erased client's paper is gone.
func (s *Store) Paper(ctx context.Context, id string) (shop.Paper, string, error) {
	var doc, content, wrapped string
	err := s.read.QueryRowContext(ctx, `SELECT p.doc, p.content, COALESCE(k.wrapped, '') FROM papers p LEFT JOIN client_keys k ON k.id = p.client WHERE p.id = $1`, plain(id)).Scan(&doc, &content, &wrapped)
	if err != nil {
		return shop.Paper{}, "", fmt.Errorf("paper %s: %w", id, found(err))
	}
	p, err := readJSON[shop.Paper]([]byte(doc))
	if err != nil {
		return shop.Paper{}, "", fmt.Errorf("paper %s: %w", id, err)
	}
	if !sealed(content) {
		return p, content, nil
	}
	if wrapped == "" {
		return p, "", nil
	}
	k, err := s.dataKey(p.Client, wrapped)
	if err != nil {
		return p, "", fmt.Errorf("paper %s: %w", id, err)
	}
	b, err := unseal(k, aboutPaper(p.Client, id), strings.TrimPrefix(content, sealPrefix))
	if err != nil {
		return p, "", fmt.Errorf("paper %s: %w", id, err)
	}
	return p, string(b), nil
}
