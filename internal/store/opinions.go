package store

import (
	"context"
	"encoding/json"
	"fmt"

	"midcase/internal/shop"
)

// KeepOpinion implements shop.OpinionStore. A kept opinion is never changed.
func (s *Store) KeepOpinion(ctx context.Context, o shop.KeptOpinion) error {
	if !json.Valid(o.JSON) {
		return fmt.Errorf("keep opinion of watch %s: want valid JSON", o.Watch)
	}
	if err := checkText("as_of", o.AsOf); err != nil {
		return fmt.Errorf("keep opinion of watch %s: %w", o.Watch, err)
	}
	return s.change(ctx, fmt.Sprintf("keep opinion of watch %s", o.Watch), func(tx *transaction) error {
		if err := needWatch(ctx, tx, o.Watch); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `
			INSERT INTO opinions (seq, watch, as_of, formed, evidence, doc)
			VALUES ((SELECT COALESCE(MAX(seq) + 1, 0) FROM opinions), $1, $2, $3, $4, $5)`,
			string(o.Watch), o.AsOf, writeTime(o.Formed), o.Evidence, o.JSON)
		if err != nil {
			return err
		}
		return advance(ctx, tx, partOpinions)
	})
}

// Opinions implements shop.OpinionStore, with the times in UTC.
func (s *Store) Opinions(ctx context.Context, id shop.WatchID) ([]shop.KeptOpinion, error) {
	out, err := s.opinions(ctx, id)
	if err != nil {
		return nil, fmt.Errorf("opinions of watch %s: %w", id, err)
	}
	return out, nil
}

func (s *Store) opinions(ctx context.Context, id shop.WatchID) ([]shop.KeptOpinion, error) {
	rows, err := s.read.QueryContext(ctx,
		`SELECT as_of, formed, evidence, doc FROM opinions WHERE watch = $1 ORDER BY formed DESC, seq DESC`, plain(string(id)))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []shop.KeptOpinion
	for rows.Next() {
		o := shop.KeptOpinion{Watch: id}
		var formed string
		if err := rows.Scan(&o.AsOf, &formed, &o.Evidence, &o.JSON); err != nil {
			return nil, err
		}
		if o.Formed, err = readTime(formed); err != nil {
			return nil, err
		}
		out = append(out, o)
	}
	if err := rows.Err(); err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, needWatch(ctx, s.read, id)
	}
	return out, nil
}

// LatestOpinions implements shop.OpinionStore, with the times in UTC.
func (s *Store) LatestOpinions(ctx context.Context) ([]shop.KeptOpinion, error) {
	out, err := s.latestOpinions(ctx)
	if err != nil {
		return nil, fmt.Errorf("latest opinions: %w", err)
	}
	return out, nil
}

func (s *Store) latestOpinions(ctx context.Context) ([]shop.KeptOpinion, error) {
	rows, err := s.read.QueryContext(ctx, `
		SELECT watch, as_of, formed, evidence FROM opinions
		WHERE seq IN (SELECT MAX(seq) FROM opinions GROUP BY watch) ORDER BY seq`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []shop.KeptOpinion
	for rows.Next() {
		var o shop.KeptOpinion
		var formed string
		if err := rows.Scan(&o.Watch, &o.AsOf, &formed, &o.Evidence); err != nil {
			return nil, err
		}
		if o.Formed, err = readTime(formed); err != nil {
			return nil, err
		}
		out = append(out, o)
	}
	return out, rows.Err()
}
