package store

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
)

// ChangedWatches implements shop.WatchStore.
func (s *Store) ChangedWatches(ctx context.Context, since shop.Cursor) (changed []shop.Watch, examined []shop.WatchID,
	now shop.Cursor, err error) {
	if now, err = s.cursorNow(ctx, s.read); err != nil || now == since {
		return nil, nil, now, err
	}
	err = s.snapshot(ctx, func(tx *transaction) error {
		changed, examined = nil, nil
		if now, err = s.cursorNow(ctx, tx); err != nil {
			return err
		}
		if since.Records == 0 {
			changed, err = readWatches(ctx, tx, listed, `ORDER BY number`)
		} else if now.Records != since.Records {
			changed, err = readWatches(ctx, tx, listed, `WHERE id IN (SELECT id FROM history WHERE subject = $1 AND seq >= $2) ORDER BY number`, SubjectWatch, since.Records)
		}
		if err != nil || now.Evidence == since.Evidence || since.Records == 0 {
			return err
		}
		examined, err = watchIDs(ctx, tx, `SELECT DISTINCT watch FROM log WHERE seq >= $1`, since.Evidence)
		return err
	})
	if err != nil {
		return nil, nil, since, fmt.Errorf("changed watches: %w", err)
	}
	return changed, examined, now, nil
}

// cursorNow counts what was recorded so far.
func (s *Store) cursorNow(ctx context.Context, q querier) (p shop.Cursor, err error) {
	err = q.QueryRowContext(ctx, `SELECT (SELECT COALESCE(MAX(seq) + 1, 0) FROM history), (SELECT COALESCE(MAX(seq) + 1, 0) FROM log)`).Scan(&p.Records, &p.Evidence)
	if err != nil {
		return p, fmt.Errorf("changed watches: %w", err)
	}
	return p, nil
}

func watchIDs(ctx context.Context, q querier, query string, args ...any) ([]shop.WatchID, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []shop.WatchID
	for rows.Next() {
		var id shop.WatchID
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		out = append(out, id)
	}
	return out, rows.Err()
}

// MovementsWith implements shop.StepStore.
func (s *Store) MovementsWith(ctx context.Context, client string) ([]shop.Movement, error) {
	all, err := docs(ctx, s.read, "movements", readJSON[shop.Movement], `SELECT doc FROM movements WHERE doc LIKE $1 ESCAPE '\' ORDER BY seq`, likePattern(`"`+client+`"`))
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(m shop.Movement) bool { return m.Person != client && m.Holder != client }), nil
}

// ItemsOfReference implements shop.WatchStore.
func (s *Store) ItemsOfReference(ctx context.Context, maker, reference string,
	kinds ...evidence.Kind) (map[shop.WatchID][]evidence.Item, error) {
	args := []any{caseKey(maker), caseKey(reference)}
	var like []string
	for _, k := range kinds {
		args = append(args, likePattern(fmt.Sprintf(`"kind":%q`, k)))
		like = append(like, fmt.Sprintf(`l.item LIKE $%d ESCAPE '\'`, len(args)))
	}
	rows, err := s.read.QueryContext(ctx, `SELECT l.watch, l.seq, l.item FROM watches w CROSS JOIN log l
		WHERE w.maker_key = $1 AND w.reference_key = $2 AND l.watch = w.id AND (`+strings.Join(like, " OR ")+`)`, args...) // CROSS: SQLite walks the watches first
	if err != nil {
		return nil, fmt.Errorf("evidence of %s %s: %w", maker, reference, err)
	}
	defer rows.Close()
	type placed struct {
		watch shop.WatchID
		seq   int64
		item  evidence.Item
	}
	var all []placed
	for rows.Next() {
		var p placed
		var b []byte
		if err := rows.Scan(&p.watch, &p.seq, &b); err != nil {
			return nil, fmt.Errorf("evidence of %s %s: %w", maker, reference, err)
		}
		if err := json.Unmarshal(b, &p.item); err != nil {
			return nil, fmt.Errorf("evidence of watch %s: %w", p.watch, err)
		}
		if slices.Contains(kinds, p.item.Kind()) {
			all = append(all, p)
		}
	}
	slices.SortFunc(all, func(a, b placed) int { return cmp.Compare(a.seq, b.seq) })
	out := map[shop.WatchID][]evidence.Item{}
	for _, p := range all {
		out[p.watch] = append(out[p.watch], p.item)
	}
	return out, rows.Err()
}
